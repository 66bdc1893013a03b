// What installer/windows/start-up brings, tried as a Windows program: start-up-test [wrong-cookie]. Says "start-up: all right" and ends with 0;
// with wrong-cookie an overwritten frame is unwound, and Windows has to end the process at once (0xC0000409).
using size_type = decltype(sizeof(0));
using pointer_type = unsigned long long;
extern "C" {
void *memcpy(void *, const void *, size_type);
void *memmove(void *, const void *, size_type);
int memcmp(const void *, const void *, size_type);
void *memchr(const void *, int, size_type);
const char *strchr(const char *, int);
const char *strstr(const char *, const char *);
size_type strnlen(const char *, size_type);
__declspec(dllimport) int puts(const char *);
__declspec(dllimport) void *CreateThread(void *, size_type, unsigned long (*)(void *), void *, unsigned long, unsigned long *);
__declspec(dllimport) unsigned long WaitForSingleObject(void *, unsigned long);
extern pointer_type __security_cookie;
struct runtime_function { unsigned long begin, end, unwind; };
struct dispatcher_context { pointer_type pc, image_base; runtime_function *function; pointer_type frame, target; void *context, *handler; const int *data; };
int __GSHandlerCheck(void *, char *, void *, dispatcher_context *);
void require_processor(void) {}
}

static int failures = 0;
static void check(bool right, const char *what)
{
    if (right) return;
    puts(what);
    failures++;
}

// ---- thread-local variables that need code to begin with
static int next_value() { static int value = 0; return ++value; }
struct counted { int value = next_value() * 10; };
static thread_local counted own;
static unsigned long in_thread(void *seen) { *(int *)seen = own.value; return 0; }

static void moves()
{
    static unsigned char a[600], b[600], expected[600];
    for (int length = 0; length < 200; length++)
        for (int shift = -70; shift <= 70; shift += 7) {
            for (int i = 0; i < 600; i++) a[i] = expected[i] = (unsigned char)(i * 31 + length);
            for (volatile int i = 0; i < length; i = i + 1) b[i] = a[200 + i];
            for (volatile int i = 0; i < length; i = i + 1) expected[200 + shift + i] = b[i];
            memmove(a + 200 + shift, a + 200, (size_type)length);
            bool same = true;
            for (volatile int i = 0; i < 600; i = i + 1) same = same && a[i] == expected[i];
            check(same, "memmove: a byte is wrong");
        }
    memcpy(b, a, 600);
    check(memcmp(a, b, 600) == 0, "memcpy and memcmp disagree");
    b[599] ^= 0x80;
    check((memcmp(a, b, 600) < 0) == (a[599] < b[599]), "memcmp: not by unsigned bytes");
    const char *text = "slate and spot";
    check(strstr(text, "and") == text + 6 && strstr(text, "hall") == 0 && strstr(text, "") == text, "strstr");
    check(strchr(text, 'p') == text + 11 && strchr(text, 0) == text + 14 && strchr(text, 'x') == 0, "strchr");
    check(memchr(text, 'a', 14) == text + 2 && memchr(text, 'q', 14) == 0, "memchr");
    check(strnlen(text, 5) == 5 && strnlen(text, 99) == 14, "strnlen");
}

// ---- a frame as the compiler leaves it, and the handler that looks at it while unwinding
static int unwind(pointer_type cookie, bool has_frame_register)
{
    static unsigned char image[64];
    static runtime_function function = { 0, 0, 16 };
    static const int data[] = { 0x20 };
    alignas(16) static char frame[128];
    image[16 + 3] = has_frame_register ? 0x25 : 0;
    pointer_type mixed_with = (pointer_type)frame + (has_frame_register ? 0x20 : 0);
    *(pointer_type *)(frame + 0x20) = cookie ^ mixed_with;
    dispatcher_context context = { 0, (pointer_type)image, &function, 0, 0, 0, 0, data };
    return __GSHandlerCheck(0, frame, 0, &context);
}

extern "C" int wmain(int argc, wchar_t **argv)
{
    if (argc > 1 && argv[1][0] == 'w') {
        unwind(__security_cookie + 1, false);
        puts("an overwritten frame was unwound");
        return 1;
    }
    check(__security_cookie != 0x00002B992DDFA232ull && (__security_cookie >> 48) == 0, "the cookie is not made");
    check(unwind(__security_cookie, false) == 1 && unwind(__security_cookie, true) == 1, "a right cookie stops the unwinding");
    moves();
    int seen[3] = { 0, 0, 0 };
    for (int i = 0; i < 3; i++) {
        void *thread = CreateThread(0, 0, in_thread, &seen[i], 0, 0);
        WaitForSingleObject(thread, 0xFFFFFFFF);
    }
    check(seen[0] > 0 && seen[1] > seen[0] && seen[2] > seen[1], "a thread's variable did not get its beginning");
    int *block = new int[3]{ 1, 2, 3 };
    check(block[2] == 3, "new");
    delete[] block;
    if (failures == 0) puts("start-up: all right");
    return failures;
}
