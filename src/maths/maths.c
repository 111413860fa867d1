/* maths/maths.c: the one setting of the process that this room needs. */
#include "maths/maths.h"

#include <gsl/gsl_errno.h>

void maths_begin(void)
{
    gsl_set_error_handler_off();
}
