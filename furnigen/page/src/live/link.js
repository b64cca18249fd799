// The line to the server: what it tells comes as events, what is changed goes as requests with the word of its start.

const meta = name => document.querySelector(`meta[name="furnigen-${name}"]`).content;
export const START = meta("start");
const AGAIN_MS = 1500;

/**
 * @param {Record<string, (value: any) => void>} topics what is done with each
 * @param {() => boolean} leaving whether nothing more is to be done
 * @param {(there: boolean) => void} line is told when the server ends, and when it is there again
 */
export function listen(topics, leaving, line) {
  let source = null;
  const connect = () => {
    source?.close();
    source = new EventSource("/events");
    source.addEventListener("open", () => line(true));
    source.addEventListener("error", () => {
      line(false);
      // a browser that was refused does not try again by itself
      if (source.readyState === EventSource.CLOSED) setTimeout(connect, AGAIN_MS);
    });
    for (const [topic, told] of Object.entries(topics)) {
      source.addEventListener(topic, e => {
        if (!leaving()) told(JSON.parse(e.data));
      });
    }
  };
  connect();
}

/**
 * Ask the server for something.
 * @returns {Promise<string>} "" where it was taken, else why not
 */
export async function ask(what, body = {}) {
  try {
    const answer = await fetch(`/${what}`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Furnigen-Token": meta("token") },
      body: JSON.stringify(body),
    });
    return answer.ok ? "" : (await answer.json()).error;
  } catch {
    return "the server does not answer";
  }
}
