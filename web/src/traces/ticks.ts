/* Round ticks: of numbers 1, 2 or 5 times a power of ten, of time steps that a clock has. */

const CLOCK = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 14400, 21600, 43200];

function stepsFrom(low: number, high: number, step: number): number[] {
  const ticks: number[] = [];
  /* Counted, so that no rounding adds up. */
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + step * 1e-9; i++) {
    ticks.push(Number((i * step).toPrecision(12)));
  }
  return ticks;
}

/** The finest round step that has at most `most` ticks within low..high. */
export function numberTicks(low: number, high: number, most: number): number[] {
  let power = 10 ** Math.floor(Math.log10(Math.max(high - low, 1e-9)) - 2);
  for (;;) {
    for (const factor of [1, 2, 5]) {
      const ticks = stepsFrom(low, high, factor * power);
      if (ticks.length <= most) {
        return ticks;
      }
    }
    power *= 10;
  }
}

/** The same for seconds. */
export function clockTicks(low: number, high: number, most: number): { step_s: number; at: number[] } {
  for (const step_s of CLOCK) {
    if ((high - low) / step_s <= most + 1) {
      const at = stepsFrom(low, high, step_s);
      if (at.length <= most) {
        return { step_s, at };
      }
    }
  }
  const day = 86400 * Math.ceil((high - low) / 86400 / most);
  return { step_s: day, at: stepsFrom(low, high, day) };
}

/** "0 s", "30 s", "1 min 30"; with steps of whole minutes "10 min", "1 h 10", "2 h". */
export function clockLabel(t: number, step_s: number): string {
  const whole = Math.round(t);
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  const seconds = whole % 60;
  if (step_s % 60 !== 0) {
    if (hours > 0) {
      return `${hours}:${two(minutes)}:${two(seconds)}`;
    }
    if (minutes === 0) {
      return `${seconds} s`;
    }
    return seconds === 0 ? `${minutes} min` : `${minutes} min ${seconds}`;
  }
  if (hours === 0) {
    return `${minutes} min`;
  }
  return minutes === 0 ? `${hours} h` : `${hours} h ${two(minutes)}`;
}

function two(value: number): string {
  return String(value).padStart(2, "0");
}

/** "5 s", "1 min", "6 min 52 s", "1 h 5 min". */
export function lasting(seconds: number): string {
  const whole = Math.round(seconds);
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor((whole % 3600) / 60);
  const rest = whole % 60;
  const parts = [
    hours > 0 ? `${hours} h` : "",
    minutes > 0 ? `${minutes} min` : "",
    rest > 0 && hours === 0 ? `${rest} s` : "",
  ].filter((part) => part !== "");
  return parts.length === 0 ? "0 s" : parts.join(" ");
}
