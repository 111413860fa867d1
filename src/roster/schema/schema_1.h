/* roster/schema/schema_1.h: the first schema. */
#ifndef ROSTER_SCHEMA_SCHEMA_1_H
#define ROSTER_SCHEMA_SCHEMA_1_H

extern const char *const schema_1[]; /* ends with NULL */

#endif
