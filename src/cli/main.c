/* cli/main.c: the command line. */
#include <stdio.h>

int main(void)
{
    puts("plumbline " PLUMBLINE_VERSION " (" PLUMBLINE_COMMIT ")");
    return 0;
}
