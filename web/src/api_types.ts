/* The shapes that the screens read. */

export interface Session {
  readonly version: string;
  readonly roster: string;
  readonly is_example: boolean;
  readonly today: string;
  readonly today_is_own: boolean;
  readonly riders: number;
  readonly rides: number;
  readonly first_day: string | null;
  readonly last_day: string | null;
  readonly waiting: number; /* rides being read again */
}
