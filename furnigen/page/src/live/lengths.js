// What a slider stands at, as a maker would type it.

const INCH = 25.4, PARTS = 16;

function inches(mm, low, high) {
  let n = Math.round((mm / INCH) * PARTS);
  if ((n * INCH) / PARTS > high) n -= 1;
  if ((n * INCH) / PARTS < low) n += 1;
  let part = n % PARTS, of = PARTS;
  const whole = (n - part) / PARTS;
  while (part && part % 2 === 0) [part, of] = [part / 2, of / 2];
  if (!part) return `${whole}"`;
  return whole ? `${whole} ${part}/${of}"` : `${part}/${of}"`;
}

/** @param {{kind: string, step: number, low: number, high: number}} field */
export function asTyped(field, value, units) {
  if (field.kind === "angle") return `${value}°`;
  if (field.kind !== "length") return String(value);
  if (units === "in") return inches(value, field.low, field.high);
  return `${Number(value.toFixed(field.step < 1 ? 1 : 3))} mm`;
}
