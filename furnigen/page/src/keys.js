// The keyboard, while the view has it.

const TURN = Math.PI / 24, SHIFT = 0.05, NEARER = 0.85;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/**
 * @param {HTMLCanvasElement} canvas
 * @param {import("./stage.js").Stage} stage
 * @param {Record<string, () => void>} actions by key
 */
export function listenToKeys(canvas, stage, actions) {
  canvas.addEventListener("keydown", e => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const arrow = ARROWS[e.key];
    if (arrow && e.shiftKey) stage.steer({ right: arrow[0] * SHIFT, up: -arrow[1] * SHIFT });
    else if (arrow) stage.steer({ turn: arrow[0] * TURN, tilt: arrow[1] * TURN });
    else if (e.key === "+" || e.key === "=") stage.steer({ nearer: NEARER });
    else if (e.key === "-") stage.steer({ nearer: 1 / NEARER });
    else if (actions[e.key.toLowerCase()]) actions[e.key.toLowerCase()]();
    else return;
    e.preventDefault();
  });
}
