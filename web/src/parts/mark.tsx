/* A verdict's mark: the shape carries it, and its word always stands beside it. */

export type MarkShape = "full" | "hollow" | "half" | "dotted";

const SIZE = 16;
const RADIUS = 0.35 * SIZE;
const BELLY = SIZE - RADIUS;

/* The outline of drawing/drop.h at one size, thinner by `inset` on every side. */
function drop(inset: number, whole: boolean): string {
  const x = SIZE / 2;
  const radius = RADIUS - inset;
  const tip = 1.8 * inset;
  const shoulder = 0.12 * SIZE;
  const shoulderY = 0.26 * SIZE;
  const flank = BELLY - 0.62 * radius;
  const right = whole
    ? `C${x + shoulder} ${shoulderY} ${x + radius} ${flank} ${x + radius} ${BELLY}`
    : `L${x} ${BELLY + radius}`;
  return `M${x} ${tip}${right}A${radius} ${radius} 0 0 1 ${x - radius} ${BELLY}C${x - radius} ${flank} ${x - shoulder} ${shoulderY} ${x} ${tip}Z`;
}

const STROKE = 1.45;
const FULL = drop(0, true);
const LINE = drop(STROKE / 2, true);
const LEFT = drop(STROKE / 2, false);

/* The drop alone, for where its word stands in the same line. */
export function Drop({ shape }: { readonly shape: MarkShape }) {
  return (
    <svg class="drop" viewBox={`0 0 ${SIZE} ${SIZE}`} aria-hidden="true" focusable="false">
      {shape === "full" ? (
        <path class="drop-fill" d={FULL} />
      ) : (
        <>
          {shape === "half" && <path class="drop-fill" d={LEFT} />}
          <path class={shape === "dotted" ? "drop-line drop-dotted" : "drop-line"} d={LINE} />
        </>
      )}
    </svg>
  );
}

/* The drop and its word. */
export function Mark({ shape, word }: { readonly shape: MarkShape; readonly word: string }) {
  return (
    <span class="mark">
      <Drop shape={shape} />
      <span>{word}</span>
    </span>
  );
}
