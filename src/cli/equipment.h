/* cli/equipment.h: what the two halves of plumbline equipment share. */
#ifndef CLI_EQUIPMENT_H
#define CLI_EQUIPMENT_H

#include "cli/roster_call.h"
#include "roster/equipment.h"

/* The rider's equipment today, as words or JSON; with_care: every entry of care instead of the
 * newest zero offsets; with_old: also what is no longer in use. */
MUST_USE bool equipment_told(struct roster_call *call, const struct rider *rider, bool with_care,
                             bool with_old, struct error *err);

#endif
