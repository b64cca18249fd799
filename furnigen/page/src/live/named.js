import { el } from "../dom.js";

/** What somebody named: from right to left it does not turn the text around it. */
export const named = text => el("bdi", {}, text);
