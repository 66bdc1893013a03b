/* Whether this x64 processor, and the system on it, has what natively compiled signal code is made of: AVX2, FMA and BMI2 (x86-64-v3).
 *
 * By the instruction itself rather than by a compiler's support library, which the build for Windows does not have.
 * Source: Intel 64 and IA-32 Architectures Software Developer's Manual, volume 2, CPUID and XGETBV. */
#ifndef CAPTUREPROC_PROCESSOR_H
#define CAPTUREPROC_PROCESSOR_H

#include <cpuid.h>

static int processor_has_vectors(void)
{
    unsigned a, b, c, d, saved, rest;
    if (!__get_cpuid(1, &a, &b, &c, &d))
        return 0;
    /* FMA, OSXSAVE, AVX: the third says that the processor has it, the second that one may ask whether the system saves its registers. */
    if ((c & (1u << 12)) == 0 || (c & (1u << 27)) == 0 || (c & (1u << 28)) == 0)
        return 0;
    __asm__ volatile("xgetbv" : "=a"(saved), "=d"(rest) : "c"(0));
    if ((saved & 6) != 6)
        return 0;
    /* BMI1, AVX2, BMI2. */
    return __get_cpuid_count(7, 0, &a, &b, &c, &d) && (b & (1u << 3)) && (b & (1u << 5)) && (b & (1u << 8));
}

#endif
