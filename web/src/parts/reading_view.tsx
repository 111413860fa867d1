/* A reading as the pages show it: the sentence with its mark, the gauge, the reasons, "why?". */
import type { ComponentChildren } from "preact";

import type { Reading } from "../api_types";
import { saidBy, shapeOf } from "../readings";
import { Scene } from "./scene";
import { Because, Sentence } from "./sentence";
import { Why } from "./why";

export interface ReadingViewProps {
  readonly reading: Reading;
  readonly children?: ComponentChildren; /* the figure, between gauge and reasons */
}

export function ReadingView({ reading, children }: ReadingViewProps) {
  const said = saidBy(reading);
  return (
    <div class="reading">
      <Sentence said={said} shape={shapeOf(reading.answer)} />
      {reading.gauge !== null && (
        <Scene scene={reading.gauge} words={reading.gauge_words} size="gauge" />
      )}
      {children}
      <Because said={said} />
      <Why reading={reading} of={reading.heading} />
    </div>
  );
}
