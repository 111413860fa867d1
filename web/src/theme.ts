/* Light or dark: as the system says, unless the reader chose; the choice stays in this browser. */
import { signal } from "@preact/signals";

export type Theme = "system" | "light" | "dark";

const KEY = "plumbline-theme";

function stored(): Theme {
  try {
    const value = localStorage.getItem(KEY);
    return value === "light" || value === "dark" ? value : "system";
  } catch {
    return "system";
  }
}

export const theme = signal<Theme>("system");

function show(value: Theme): void {
  if (value === "system") {
    delete document.documentElement.dataset["theme"];
  } else {
    document.documentElement.dataset["theme"] = value;
  }
}

export function startTheme(): void {
  theme.value = stored();
  show(theme.value);
}

export function chooseTheme(value: Theme): void {
  theme.value = value;
  show(value);
  try {
    if (value === "system") {
      localStorage.removeItem(KEY);
    } else {
      localStorage.setItem(KEY, value);
    }
  } catch {
    // A browser that keeps nothing: the choice lasts as long as the page.
  }
}
