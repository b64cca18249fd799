// The view of the live page: that of the job page, with another piece put in at every change.

import { $ } from "../dom.js";
import { offsets } from "../explode.js";
import { View } from "../view.js";

export class LiveView extends View {
  /** Show another piece; what was hidden or alone stays so, where it is still there. */
  show(glb, data) {
    const { stage, selection } = this;
    const hidden = [...stage.parts.values()].filter(part => part.hidden).map(part => part.label);
    const alone = selection.alone && [...selection.alone];
    // how it is put together is known a moment later: till then as before, where the parts are the same
    const same = this.data && Object.keys(data.placements).join("\n") === Object.keys(this.data.placements).join("\n");
    super.show(glb, same ? { ...data, steps: this.data.steps } : data);
    for (const label of hidden) if (stage.parts.has(label)) stage.parts.get(label).hidden = true;
    const left = alone?.filter(label => stage.parts.has(label)) ?? [];
    if (left.length) selection.alone = new Set(left);
    if (left.length || hidden.length) {
      selection.paint();
      this.cut();
    }
  }

  /** More is known of the piece that is shown: what joins its parts, how it is put together. */
  know(data) {
    this.data = data;
    this.apart = offsets(data.steps, this.stage.sphere.radius * 2);
    this.steps.load(data.steps);
    for (const id of ["before", "after", "play", "explode"]) $(id).disabled = !data.steps.length;
    if (Number($("explode").value)) this.explode();
    this.readout();
  }
}
