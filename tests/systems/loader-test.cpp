// What a host on Windows does with the library: loader-test LIBRARY. Three times: load, enter, ask for the factory from eight threads that were
// there before it, count and name its classes, leave, free. Says "loader: N classes".
using size_type = decltype(sizeof(0));
extern "C" {
__declspec(dllimport) int puts(const char *);
__declspec(dllimport) void *LoadLibraryW(const wchar_t *);
__declspec(dllimport) int FreeLibrary(void *);
__declspec(dllimport) void *GetProcAddress(void *, const char *);
__declspec(dllimport) void *CreateThread(void *, size_type, unsigned long (*)(void *), void *, unsigned long, unsigned long *);
__declspec(dllimport) unsigned long WaitForSingleObject(void *, unsigned long);
void require_processor(void) {}
}

// VST 3 SDK, pluginterfaces/base/ipluginbase.h: IPluginFactory behind FUnknown; PClassInfo.
struct class_info { char id[16]; int cardinality; char category[32]; char name[64]; };
struct factory_functions {
    int (*query)(void *, const char *, void **);
    unsigned (*add)(void *);
    unsigned (*release)(void *);
    int (*info)(void *, void *);
    int (*count)(void *);
    int (*class_info_of)(void *, int, class_info *);
};
struct factory { factory_functions *functions; };
typedef factory *(*get_factory)(void);

static unsigned long ask(void *function)
{
    for (int i = 0; i < 200; i++) {
        factory *f = ((get_factory)function)();
        if (!f || f->functions->count(f) < 1) return 1;
        f->functions->release(f);
    }
    return 0;
}

extern "C" int wmain(int argc, wchar_t **argv)
{
    if (argc < 2) return 2;
    int classes = 0;
    for (int round = 0; round < 3; round++) {
        void *library = LoadLibraryW(argv[1]);
        if (!library) { puts("loader: the library does not load"); return 1; }
        char (*enter)(void) = (char (*)(void))GetProcAddress(library, "InitDll");
        char (*leave)(void) = (char (*)(void))GetProcAddress(library, "ExitDll");
        void *function = GetProcAddress(library, "GetPluginFactory");
        if (!enter || !leave || !function || !enter()) { puts("loader: the library does not let a host in"); return 1; }
        void *threads[8];
        for (void *&thread : threads) thread = CreateThread(0, 0, ask, function, 0, 0);
        for (void *thread : threads) WaitForSingleObject(thread, 0xFFFFFFFF);
        factory *f = ((get_factory)function)();
        classes = f->functions->count(f);
        for (int i = 0; i < classes; i++) {
            class_info info;
            if (f->functions->class_info_of(f, i, &info) != 0) { puts("loader: a class without a name"); return 1; }
            if (round == 0) puts(info.name);
        }
        f->functions->release(f);
        leave();
        FreeLibrary(library);
    }
    puts(classes == 11 ? "loader: 11 classes" : "loader: not 11 classes");
    return classes != 11;
}
