// What runs before the first line of a Windows program or library, and what its code leans on without naming it.
//
// The compiler's own start-up libraries come with a kit that is not free to pass on; this object takes their place where Debian builds
// for Windows. Each symbol says why it is there. Freestanding: no exceptions, no standard library, only functions that Windows exports.
// Sources: Microsoft's PE format (TLS directory, callbacks), "x64 exception handling" and "x64 calling convention"; the names are those
// that the objects of the .NET compiler pack ask for (llvm-nm shows them). README.md beside this lists them with their proofs.

using size_type = decltype(sizeof(0));
using pointer_type = unsigned long long;
using word = unsigned long;

#define SECTION(name) __attribute__((section(name), used))

extern "C" {

typedef void (*initialiser)(void);
typedef int (*failing_initialiser)(void);
typedef void (*thread_callback)(void *, word, void *);

// From kernel32 and the C library of Windows (ucrt), by name.
__declspec(dllimport) void GetSystemTimeAsFileTime(unsigned long long *time);
__declspec(dllimport) word GetCurrentThreadId(void);
__declspec(dllimport) word GetCurrentProcessId(void);
__declspec(dllimport) int QueryPerformanceCounter(unsigned long long *count);
__declspec(dllimport) void *malloc(size_type size);
__declspec(dllimport) void free(void *block);

// The floating-point mark: objects that compute with floating point name it, nothing reads it.
int _fltused = 0x9875;

// What the vector code of the runtime's C parts may use: 0 is plain SSE2, which every x64 processor has.
int __isa_available = 0;

// ---- Stack cookies -------------------------------------------------------------------------------------------------

// The default that the compiler's objects are initialised with; replaced before anything that returns through a check.
static const pointer_type default_cookie = 0x00002B992DDFA232ull;
pointer_type __security_cookie = default_cookie;

// Ends the process at once, with a report of Windows and without running any of its code (fast-fail, interrupt 0x29).
[[noreturn]] static void fail_fast(unsigned code)
{
    __asm__ volatile("int $0x29" : : "c"(code));
    __builtin_unreachable();
}

enum { stack_cookie_check_failure = 2, range_check_failure = 8, invalid_arguments = 5 };

[[noreturn]] void __report_gsfailure(pointer_type) { fail_fast(stack_cookie_check_failure); }

[[noreturn]] void __report_rangecheckfailure(void) { fail_fast(range_check_failure); }

[[noreturn]] void _purecall(void) { fail_fast(invalid_arguments); }

// Called with the value in rcx while rax and xmm0 hold what the function returns: touches nothing but rcx and the flags.
__attribute__((naked)) void __security_check_cookie(pointer_type)
{
    __asm__("cmpq __security_cookie(%rip), %rcx\n\t"
            "jne 1f\n\t"
            "rolq $16, %rcx\n\t"
            "testw $0xFFFF, %cx\n\t" // The upper 16 bits are always zero: no text that overruns a buffer can write them.
            "jne 2f\n\t"
            "ret\n"
            "2:\trorq $16, %rcx\n"
            "1:\tjmp __report_gsfailure");
}

static void make_cookie(void)
{
    if (__security_cookie != default_cookie)
        return;
    unsigned long long time, count;
    GetSystemTimeAsFileTime(&time);
    QueryPerformanceCounter(&count);
    pointer_type cookie = time ^ (count << 32) ^ count ^ GetCurrentThreadId() ^ ((pointer_type)GetCurrentProcessId() << 16) ^ (pointer_type)&time;
    cookie &= 0x0000FFFFFFFFFFFFull;
    __security_cookie = cookie == default_cookie ? cookie + 1 : cookie;
}

struct runtime_function { word begin, end, unwind; };
struct dispatcher_context { pointer_type pc, image_base; runtime_function *function; pointer_type frame, target; void *context, *handler; const int *handler_data; };

// While unwinding: checks the cookie of the frame that is left, and goes on. What stands behind the handler is the cookie's offset from the
// frame, with two bits for handlers of its own and one that says that the locals are aligned, by two further words. The value was mixed with
// the frame's register, whose distance from the frame is in the unwind record.
int __GSHandlerCheck(void *, char *establisher, void *, dispatcher_context *dispatcher)
{
    const int *data = dispatcher->handler_data;
    char *locals = establisher;
    if (data[0] & 4)
        locals = (char *)((pointer_type)(establisher + data[1]) & -(pointer_type)data[2]);
    pointer_type cookie = *(pointer_type *)(locals + (data[0] & ~7));
    const unsigned char *unwind = (const unsigned char *)(dispatcher->image_base + dispatcher->function->unwind);
    pointer_type mixed_with = (pointer_type)establisher;
    if (unwind[3] & 0x0F)
        mixed_with += unwind[3] & 0xF0;
    if ((cookie ^ mixed_with) != __security_cookie)
        fail_fast(stack_cookie_check_failure);
    return 1; // ExceptionContinueSearch
}

// ---- Control-flow guard: off. A checked call jumps straight to where it wants; a check returns. -------------------------

__attribute__((naked)) static void jump_to_target(void) { __asm__("jmpq *%rax"); }
static void accept_target(void) {}
void (*__guard_dispatch_icall_fptr)(void) = jump_to_target;
void (*__guard_check_icall_fptr)(void) = accept_target;

// ---- Initialisers: the linker sorts the sections .CRT$… by their names, so these markers enclose them. --------------

SECTION(".CRT$XIA") static failing_initialiser first_c_initialiser[] = { 0 };
SECTION(".CRT$XIZ") static failing_initialiser last_c_initialiser[] = { 0 };
SECTION(".CRT$XCA") static initialiser first_initialiser[] = { 0 };
SECTION(".CRT$XCZ") static initialiser last_initialiser[] = { 0 };
SECTION(".CRT$XDA") static initialiser first_thread_initialiser[] = { 0 };
SECTION(".CRT$XDZ") static initialiser last_thread_initialiser[] = { 0 };

static int run_initialisers(void)
{
    for (failing_initialiser volatile *f = first_c_initialiser; f < last_c_initialiser; f++)
        if (*f && (*f)() != 0)
            return 0;
    for (initialiser volatile *f = first_initialiser; f < last_initialiser; f++)
        if (*f)
            (*f)();
    return 1;
}

// ---- Thread-local storage (PE format, "The .tls Section") ---------------------------------------------------------------

word _tls_index = 0;
SECTION(".tls") static char first_of_tls[8] = { 0 };
SECTION(".tls$ZZZ") static char last_of_tls[8] = { 0 };

// Whether this thread's variables have had their initialisers.
__declspec(thread) char __tls_guard = 0;

enum { process_attach = 1, thread_attach = 2 };

void __dyn_tls_init(void *, word reason, void *)
{
    if (reason != thread_attach || __tls_guard)
        return;
    __tls_guard = 1;
    for (initialiser volatile *f = first_thread_initialiser; f < last_thread_initialiser; f++)
        if (*f)
            (*f)();
}

// For threads that were there before the library.
void __dyn_tls_on_demand_init(void) { __dyn_tls_init(0, thread_attach, 0); }

SECTION(".CRT$XLA") static thread_callback first_callback = 0;
SECTION(".CRT$XLC") static thread_callback initialise_thread = __dyn_tls_init;
SECTION(".CRT$XLZ") static thread_callback last_callback = 0;

struct tls_directory { void *begin, *end; word *index; thread_callback *callbacks; word zero_fill, characteristics; };
// The linker takes the directory's place in the header from this name. The list of callbacks ends with a zero.
extern const tls_directory _tls_used;
SECTION(".rdata$T") const tls_directory _tls_used = { first_of_tls + 0, last_of_tls, &_tls_index, &first_callback + 1, 0, 0 };

// ---- Plain functions ----------------------------------------------------------------------------------------------------
// Of ucrt's set these are exported by a private library only, whose names are promised to nobody.

void *memcpy(void *to, const void *from, size_type count);
void *memmove(void *to, const void *from, size_type count);

typedef long long block16 __attribute__((vector_size(16), aligned(1)));

__attribute__((no_builtin)) void *memmove(void *to, const void *from, size_type count)
{
    char *d = (char *)to;
    const char *s = (const char *)from;
    if ((pointer_type)d - (pointer_type)s >= count) {
        // Forwards; also right where the destination lies before the source and they overlap.
        while (count >= 64) {
            block16 a = *(const block16 *)s, b = *(const block16 *)(s + 16), c = *(const block16 *)(s + 32), e = *(const block16 *)(s + 48);
            *(block16 *)d = a; *(block16 *)(d + 16) = b; *(block16 *)(d + 32) = c; *(block16 *)(d + 48) = e;
            s += 64; d += 64; count -= 64;
        }
        while (count >= 16) {
            *(block16 *)d = *(const block16 *)s;
            s += 16; d += 16; count -= 16;
        }
        while (count-- > 0)
            *d++ = *s++;
    } else {
        while (count >= 16) {
            count -= 16;
            *(block16 *)(d + count) = *(const block16 *)(s + count);
        }
        while (count-- > 0)
            d[count] = s[count];
    }
    return to;
}

__attribute__((no_builtin)) void *memcpy(void *to, const void *from, size_type count) { return memmove(to, from, count); }

__attribute__((no_builtin)) int memcmp(const void *first, const void *second, size_type count)
{
    const unsigned char *a = (const unsigned char *)first, *b = (const unsigned char *)second;
    for (; count > 0; count--, a++, b++)
        if (*a != *b)
            return *a < *b ? -1 : 1;
    return 0;
}

__attribute__((no_builtin)) void *memchr(const void *block, int value, size_type count)
{
    for (const unsigned char *b = (const unsigned char *)block; count > 0; count--, b++)
        if (*b == (unsigned char)value)
            return (void *)b;
    return 0;
}

__attribute__((no_builtin)) const char *strchr(const char *text, int wanted)
{
    for (;; text++) {
        if (*text == (char)wanted)
            return text;
        if (!*text)
            return 0;
    }
}

__attribute__((no_builtin)) const char *strstr(const char *text, const char *wanted)
{
    for (;; text++) {
        size_type i = 0;
        while (wanted[i] && text[i] == wanted[i])
            i++;
        if (!wanted[i])
            return text;
        if (!*text)
            return 0;
    }
}

__attribute__((no_builtin)) size_type strnlen(const char *text, size_type most)
{
    size_type n = 0;
    while (n < most && text[n])
        n++;
    return n;
}

// The code stays until the process ends (see CaptureProc.Vst3), and then Windows takes the memory with it: nothing has to be undone.
int atexit(void (*)(void)) { return 0; }

#ifdef LIBRARY

int DllMain(void *library, word reason, void *reserved);

int _DllMainCRTStartup(void *library, word reason, void *reserved)
{
    if (reason == process_attach) {
        make_cookie();
        // The thread that loads has to have its variables before the initialisers use them.
        __dyn_tls_on_demand_init();
        if (!run_initialisers())
            return 0;
    }
    return DllMain(library, reason, reserved);
}

#else

__declspec(dllimport) int _configure_wide_argv(int mode);
__declspec(dllimport) int *__p___argc(void);
__declspec(dllimport) wchar_t ***__p___wargv(void);
[[noreturn]] __declspec(dllimport) void exit(int code);
int wmain(int argc, wchar_t **argv);


void require_processor(void); // src/CaptureProc.Cli/Native/processor-guard.c

enum { unexpanded_arguments = 1 };

// Words as they were typed: the shell of Windows expands no patterns, and neither do we.
int wmainCRTStartup(void)
{
    require_processor();
    make_cookie();
    __dyn_tls_on_demand_init();
    if (_configure_wide_argv(unexpanded_arguments) != 0 || !run_initialisers())
        fail_fast(invalid_arguments);
    exit(wmain(*__p___argc(), *__p___wargv()));
}

#endif
}

// ---- operator new and delete ------------------------------------------------------------------------------------------------
// Without exceptions: whoever runs out of memory here cannot go on.

namespace std { struct nothrow_t {}; extern const nothrow_t nothrow; const nothrow_t nothrow; }

static void *allocate(size_type size) { return malloc(size ? size : 1); }

void *operator new(size_type size)
{
    if (void *block = allocate(size))
        return block;
    fail_fast(invalid_arguments);
}

void *operator new[](size_type size) { return operator new(size); }
void *operator new(size_type size, const std::nothrow_t &) noexcept { return allocate(size); }
void *operator new[](size_type size, const std::nothrow_t &) noexcept { return allocate(size); }
void operator delete(void *block) noexcept { free(block); }
void operator delete[](void *block) noexcept { free(block); }
void operator delete(void *block, size_type) noexcept { free(block); }
void operator delete[](void *block, size_type) noexcept { free(block); }
