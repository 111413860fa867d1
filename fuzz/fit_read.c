/* fuzz/fit_read.c: any bytes as a FIT file. */
#include "target.h"
#include "whole.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    whole_read((struct bytes){ data, size });
    return 0;
}
