# Installs the plug-ins and the command line for this user on Windows. Not run yet: see README.md.
#   install.ps1               builds and installs
#   install.ps1 -CommandLine  only the command line
#   install.ps1 -Uninstall    removes what it has installed
param([switch]$Uninstall, [switch]$CommandLine)
$ErrorActionPreference = 'Stop'

$root = (Resolve-Path (Join-Path $PSScriptRoot '..\..')).Path
# The folder for one user; hosts look there beside the one for all users.
$bundle = Join-Path $env:LOCALAPPDATA 'Programs\Common\VST3\CaptureProc.vst3'
$programs = Join-Path $env:LOCALAPPDATA 'Programs\CaptureProc'

if ($Uninstall) {
    Remove-Item -Recurse -Force -ErrorAction SilentlyContinue $bundle, $programs
    Write-Output 'CaptureProc is removed.'
    exit 0
}

$machine = if ($env:PROCESSOR_ARCHITECTURE -eq 'ARM64') { 'arm64' } else { 'x64' }
$folder = if ($machine -eq 'arm64') { 'arm64-win' } else { 'x86_64-win' }
$scratch = Join-Path $env:TEMP ([Guid]::NewGuid())
try {
    Write-Output 'Building; the first time this takes some minutes ...'
    if (-not $CommandLine) {
        dotnet publish "$root\src\CaptureProc.Plugins" -c Release -r "win-$machine" --artifacts-path "$scratch\plugins" -o "$scratch\library" -v quiet -nologo
        if ($LASTEXITCODE) { throw 'the plug-ins do not build' }
    }
    dotnet publish "$root\src\CaptureProc.Cli" -c Release -r "win-$machine" -p:DebugType=none --artifacts-path "$scratch\cli" -o "$scratch\captureproc" -v quiet -nologo
    if ($LASTEXITCODE) { throw 'the command line does not build' }

    Remove-Item -Recurse -Force -ErrorAction SilentlyContinue $programs
    if (-not $CommandLine) {
        Remove-Item -Recurse -Force -ErrorAction SilentlyContinue $bundle
        New-Item -ItemType Directory -Force "$bundle\Contents\$folder", "$bundle\Contents\Resources" | Out-Null
        Copy-Item "$scratch\library\CaptureProc.Plugins.dll" "$bundle\Contents\$folder\CaptureProc.vst3"
        Copy-Item "$scratch\library\libSkiaSharp.dll" "$bundle\Contents\$folder\libSkiaSharp.dll"
        # Whose work the windows are drawn with: the texts that came with it.
        $packages = if ($env:NUGET_PACKAGES) { $env:NUGET_PACKAGES } else { Join-Path $env:USERPROFILE '.nuget\packages' }
        $version = ([xml](Get-Content "$root\src\Directory.Packages.props")).SelectSingleNode("//PackageVersion[@Include='SkiaSharp']").Version
        $drawing = "$packages\skiasharp.nativeassets.win32\$version"
        Get-Content "$drawing\LICENSE.txt", "$drawing\THIRD-PARTY-NOTICES.txt", "$root\src\CaptureProc.Screen\Fonts\OFL.txt" |
            Set-Content -Encoding UTF8 "$bundle\Contents\Resources\THIRD-PARTY.txt"
        Copy-Item "$root\LICENSE" "$bundle\Contents\Resources\LICENSE"
        $number = ([xml](Get-Content "$root\src\Directory.Build.props")).SelectSingleNode('//Version').InnerText
        (Get-Content -Raw "$root\installer\moduleinfo.json").Replace('@VERSION@', $number) |
            Set-Content -NoNewline -Encoding ASCII "$bundle\Contents\Resources\moduleinfo.json"
        Write-Output "Plug-ins:     $bundle"
    }
    Move-Item "$scratch\captureproc" $programs
    Write-Output "Command line: $programs\captureproc.exe"
}
finally {
    Remove-Item -Recurse -Force -ErrorAction SilentlyContinue $scratch
}
