#!/usr/bin/env bash
# Prepares linking for Windows with what Debian has: link.sh FOLDER makes FOLDER/link-library and FOLDER/link-program, which stand in for
# the linker that the .NET publish would call, and FOLDER/libs, which holds the import libraries under the names that it asks for.
set -eu
[ $# -eq 1 ] || { echo "usage: link.sh FOLDER" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../.." && pwd)
folder=$(mkdir -p "$1/libs" && cd "$1" && pwd)
libs=$folder/libs
mingw=/usr/x86_64-w64-mingw32/lib
for name in clang-19 lld-link-19 llvm-dlltool-19; do
    command -v $name > /dev/null || { echo "link.sh: $name is missing; installer/cross-tools installs it" >&2; exit 1; }
done
[ -e $mingw/libkernel32.a ] || { echo "link.sh: the import libraries are missing (mingw-w64-x86-64-dev); installer/cross-tools installs them" >&2; exit 1; }

# Only import libraries, which hold names of functions and no code, and libuuid, which holds identifiers.
for name in advapi32 bcrypt crypt32 iphlpapi kernel32 mswsock ncrypt normaliz ntdll ole32 oleaut32 secur32 shell32 user32 gdi32 version ws2_32 uuid ucrt; do
    ln -sf $mingw/lib$name.a "$libs/$name.lib"
done
for system in maths system; do
    llvm-dlltool-19 -m i386:x86-64 -d "$here/$system.def" -l "$libs/$system.lib"
done

compile() {
    clang-19 --target=x86_64-pc-windows-msvc -O2 -ffreestanding -fno-exceptions -fno-stack-protector \
        -fms-extensions -mno-stack-arg-probe -Wall -Wextra -Werror "$@"
}
compile -std=c++20 -fno-rtti -DLIBRARY -c "$here/start-up.cpp" -o "$libs/start-up-library.obj"
compile -std=c++20 -fno-rtti -c "$here/start-up.cpp" -o "$libs/start-up-program.obj"
compile -x c -std=c11 -c "$root/src/CaptureProc.Vst3/Native/processor-guard.c" -o "$libs/guard-library.obj"
compile -x c -std=c11 -c "$root/src/CaptureProc.Cli/Native/processor-guard.c" -o "$libs/guard-program.obj"

for kind in library program; do
    cat > "$folder/link-$kind" << END
#!/usr/bin/env bash
# Arguments that lld-link does not know are left out: it would take them for files. /Brepro leaves out the time of day.
set -eu
rsp=\${1#@}
sed -e '1s/^\xEF\xBB\xBF//' -e 's# /NOEXP# #; s#^/NOEXP ##; s# /NOIMPLIB# #; /^\/SOURCELINK:/d' "\$rsp" > "\$rsp.lld"
# A host that calls an exported function meets the guard first.
exports=\$(sed -n 's|.*/DEF:"\?\([^"]*\)"\?.*|\1|p' "\$rsp" | head -n 1)
if [ -n "\$exports" ] && ! grep -q '=Guarded' "\$exports"; then
    sed -i -E 's/^( *)(GetPluginFactory|InitDll|ExitDll) *$/\1\2=Guarded\2/' "\$exports"
fi
exec lld-link-19 "@\$rsp.lld" "$libs/start-up-$kind.obj" "$libs/guard-$kind.obj" "/LIBPATH:$libs" maths.lib system.lib uuid.lib \\
    /NODEFAULTLIB:libcmt /NODEFAULTLIB:libcpmt /NODEFAULTLIB:oldnames /Brepro
END
    chmod 755 "$folder/link-$kind"
done
