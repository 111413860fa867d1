/* cli/response_draw.h: --figure of critical, heart and teach: their sentences and the figure as one
 * page.  Each does nothing without --figure. */
#ifndef CLI_RESPONSE_DRAW_H
#define CLI_RESPONSE_DRAW_H

#include "cli/figure_out.h"
#include "cli/roster_call.h"
#include "server/answers/heart.h"
#include "server/answers/teach.h"

MUST_USE bool response_draw_critical(const struct roster_call *call,
                                     const struct figure_values *values,
                                     const struct critical_told *told, struct error *err);
MUST_USE bool response_draw_heart(const struct roster_call *call,
                                  const struct figure_values *values, const struct heart_told *told,
                                  struct error *err);
MUST_USE bool response_draw_teach(const struct roster_call *call,
                                  const struct figure_values *values, const struct teach_told *told,
                                  struct error *err);

#endif
