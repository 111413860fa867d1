/* maths/maths.h: the one setting of the process that this room needs.
 *
 * The room knows no word of cycling and is the only one that includes the GNU Scientific Library.
 * That library aborts the process when a function is asked outside its domain, unless told not to;
 * here everything answers NAN or false instead. */
#ifndef MATHS_MATHS_H
#define MATHS_MATHS_H

/* Switches the library's aborting handler off.  Call once, first thing in main, before threads;
 * again does no harm.  It is the only process-wide setting below cli/. */
void maths_begin(void);

#endif
