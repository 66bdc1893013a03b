/* What a host calls first in a library of plug-ins, before anything of .NET has run.
 *
 * The native compiler fixes the instruction set of the whole library, and the runtime ends the process of a host whose processor lacks
 * it. So the exported functions stand here, in plain C for any x64 processor: they look, and go on to the managed ones or refuse. A
 * refused library is one that a host cannot load, and its log says why (on Windows what a debugger shows: a host there has no console).
 * On Linux the managed functions are renamed by the build; on Windows the list of exports gives these the names (see NativeBundle.props). */
#include "processor.h"

#define WHY "This plug-in library is not loaded: it needs a processor with AVX2 and FMA, as they are made since about 2013, and this one has " \
            "none. Build it for this machine with -p:PluginInstructionSet=x86-64-v2.\n"

#ifdef _WIN32
__declspec(dllimport) void OutputDebugStringA(const char *text);
#define SAY(text) OutputDebugStringA(text)
#define MANAGED(name) name
#define EXPORTED(name) Guarded##name
#define ENTRY InitDll
#define EXIT ExitDll
#define ENTRY_ARGUMENT void
#define ENTRY_VALUE
#else
#include <stdio.h>
#define SAY(text) fputs(text, stderr)
#define MANAGED(name) Managed##name
#define EXPORTED(name) name
#define ENTRY ModuleEntry
#define EXIT ModuleExit
#define ENTRY_ARGUMENT void *library
#define ENTRY_VALUE library
#endif
#define CALL(macro, name) macro(name)

char CALL(MANAGED, ENTRY)(ENTRY_ARGUMENT);
char CALL(MANAGED, EXIT)(void);
void *MANAGED(GetPluginFactory)(void);

static int is_usable(void)
{
    static int has_said;
    if (processor_has_vectors())
        return 1;
    if (!has_said) {
        has_said = 1;
        SAY(WHY);
    }
    return 0;
}

char CALL(EXPORTED, ENTRY)(ENTRY_ARGUMENT)
{
    return is_usable() ? CALL(MANAGED, ENTRY)(ENTRY_VALUE) : 0;
}

char CALL(EXPORTED, EXIT)(void)
{
    return is_usable() ? CALL(MANAGED, EXIT)() : 0;
}

void *EXPORTED(GetPluginFactory)(void)
{
    return is_usable() ? MANAGED(GetPluginFactory)() : 0;
}
