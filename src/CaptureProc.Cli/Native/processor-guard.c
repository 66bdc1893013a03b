/* What the natively compiled command line does before anything of .NET: on a processor that its code cannot run on it says so in one line
 * and ends with exit code 2, where the runtime would abort. */
#include "../../CaptureProc.Vst3/Native/processor.h"

#define WHY "error: this processor has no AVX2 and FMA, which the signal code is made of; run it on an x64 machine made since about 2013\n"

#ifdef _WIN32
__declspec(dllimport) void *GetStdHandle(unsigned long which);
__declspec(dllimport) int WriteFile(void *file, const void *bytes, unsigned long count, unsigned long *written, void *overlapped);
__declspec(dllimport) void ExitProcess(unsigned code);

/* Called by the start-up object, see installer/windows/start-up. */
void require_processor(void)
{
    unsigned long written;
    if (processor_has_vectors())
        return;
    WriteFile(GetStdHandle((unsigned long)-12), WHY, sizeof WHY - 1, &written, 0);
    ExitProcess(2);
}
#else
#include <unistd.h>

__attribute__((constructor)) static void require_processor(void)
{
    if (processor_has_vectors())
        return;
    if (write(2, WHY, sizeof WHY - 1) < 0)
        _exit(2);
    _exit(2);
}
#endif
