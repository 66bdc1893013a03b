/* What a host calls first in a library of plug-ins, before anything of .NET has run.
 *
 * The native compiler fixes the instruction set of the whole library, and the runtime ends the process of a host whose processor lacks
 * it. So the three exported functions stand here, in plain C for any x64 processor: they look, and go on to the managed ones (renamed
 * by the build, see NativeBundle.props) or refuse. A refused library is one that a host cannot load, and its log says why. */
#include <stdio.h>

char ManagedModuleEntry(void *library);
char ManagedModuleExit(void);
void *ManagedGetPluginFactory(void);

static int is_usable(void)
{
    static int has_said;
    __builtin_cpu_init();
    if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma") && __builtin_cpu_supports("bmi2"))
        return 1;
    if (!has_said) {
        has_said = 1;
        fputs("This plug-in library is not loaded: it needs a processor with AVX2 and FMA, as they are made since about 2013, and this one has "
              "none. Build it for this machine with -p:PluginInstructionSet=x86-64-v2.\n", stderr);
    }
    return 0;
}

char ModuleEntry(void *library)
{
    return is_usable() ? ManagedModuleEntry(library) : 0;
}

char ModuleExit(void)
{
    return is_usable() ? ManagedModuleExit() : 0;
}

void *GetPluginFactory(void)
{
    return is_usable() ? ManagedGetPluginFactory() : 0;
}
