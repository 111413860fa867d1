/* Shapes of the ride's answer, as the server's description has them. */
import type { components } from "../generated/api_schema";

type Schemas = components["schemas"];

export type RideAnswer = Schemas["ride"];
export type RideRead = RideAnswer["ride"];
export type RideReading = RideRead["readings"][number];
export type Rep = RideRead["reps"][number];
export type Finding = RideRead["findings"][number];
export type RideBest = RideRead["bests"][number];
export type Effort = RideRead["efforts"][number];
export type DayNote = RideAnswer["notes"][number];
