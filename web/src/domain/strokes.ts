// A signature is strokes of points, each from 0 to 1 of the field it was drawn in, so that it looks the same on
// every screen and its hash does not depend on the device.

export type Point = [number, number];
export type Stroke = Point[];

const PLACES = 10_000;
/** Points closer than this to the last one say nothing new. */
const NEAR = 0.002;

function clamp(n: number): number {
  return Math.min(1, Math.max(0, Math.round(n * PLACES) / PLACES));
}

/** A place on the screen as a point of the field. */
export function pointIn(x: number, y: number, field: { left: number; top: number; width: number; height: number }): Point {
  return [clamp((x - field.left) / field.width), clamp((y - field.top) / field.height)];
}

/** The strokes with a new one begun. */
export function begin(strokes: readonly Stroke[], at: Point): Stroke[] {
  return [...strokes, [at]];
}

/** The strokes with the last one drawn on; a point on top of the last is left out. */
export function extend(strokes: readonly Stroke[], to: Point): Stroke[] {
  const last = strokes.at(-1);
  if (!last) return begin(strokes, to);
  const from = last.at(-1);
  if (from && Math.hypot(from[0] - to[0], from[1] - to[1]) < NEAR) return [...strokes];
  return [...strokes.slice(0, -1), [...last, to]];
}

/** Whether enough was drawn to be somebody's signature and not a slip of the finger. */
export function isDrawn(strokes: readonly Stroke[]): boolean {
  let length = 0;
  for (const stroke of strokes) {
    stroke.forEach((point, i) => {
      const before = stroke[i - 1];
      if (before) length += Math.hypot(point[0] - before[0], point[1] - before[1]);
    });
  }
  return length >= 0.15;
}

/** The pen moved by keys, one step of the field at a time. */
export function stepPen(pen: Point, key: string, step: number): Point | null {
  const by: Record<string, Point> = {
    ArrowLeft: [-step, 0],
    ArrowRight: [step, 0],
    ArrowUp: [0, -step],
    ArrowDown: [0, step],
  };
  const move = by[key];
  return move ? [clamp(pen[0] + move[0]), clamp(pen[1] + move[1])] : null;
}
