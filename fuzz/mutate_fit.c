/* fuzz/mutate_fit.c: changes for the FIT target: libFuzzer's own, then sizes and checksums set
 * right, or nothing would ever get behind them.  One in eight stays damaged. */
#include "mend.h"

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t max_size);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t max_size, unsigned seed);

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t max_size, unsigned seed)
{
    const size_t changed = LLVMFuzzerMutate(data, size, max_size);
    if (seed % 8 != 0) {
        fit_mend(data, changed);
    }
    return changed;
}
