; The installer for Windows. Made by package.sh, which says what VERSION, BUILT, OUT and README are, and ALL_USERS for the one that
; installs for everybody. The usual one is for one user and asks for no administrator.
;   captureproc-setup.exe /S                   silently (so does the uninstaller)
;   captureproc-setup.exe /S /D=C:\A\Folder    the command line elsewhere; the plug-ins are always where hosts look

Unicode true
Target amd64-unicode
SetCompressor /SOLID lzma
Name "CaptureProc"
OutFile "${OUT}"
BrandingText "CaptureProc ${VERSION}"
ManifestDPIAware true
XPStyle on

!include LogicLib.nsh
!include x64.nsh
!include WinVer.nsh
!include FileFunc.nsh

!define ENTRY "Software\Microsoft\Windows\CurrentVersion\Uninstall\CaptureProc"
!ifdef ALL_USERS
  RequestExecutionLevel admin
  !define HIVE HKLM
  InstallDir "$PROGRAMFILES64\CaptureProc"
!else
  RequestExecutionLevel user
  !define HIVE HKCU
  InstallDir "$LOCALAPPDATA\Programs\CaptureProc"
!endif
InstallDirRegKey ${HIVE} "${ENTRY}" "InstallLocation"

VIProductVersion "${VERSION}.0"
VIAddVersionKey ProductName "CaptureProc"
VIAddVersionKey ProductVersion "${VERSION}"
VIAddVersionKey FileVersion "${VERSION}"
VIAddVersionKey FileDescription "CaptureProc installer"
VIAddVersionKey LegalCopyright "The CaptureProc developers; see LICENSE.txt"

Var Plugins

!include path.nsh

LicenseData "${BUILT}\captureproc\LICENSE.txt"
Page license
Page components
Page directory
Page instfiles
UninstPage uninstConfirm
UninstPage instfiles

; Where hosts look for plug-ins: "VST 3 Plug-in Locations" in the documentation of VST 3, the user's folder before the machine's.
!macro FindPlugins
  SetRegView 64
  !ifdef ALL_USERS
    SetShellVarContext all
    StrCpy $Plugins "$COMMONFILES64\VST3\CaptureProc.vst3"
  !else
    SetShellVarContext current
    StrCpy $Plugins "$LOCALAPPDATA\Programs\Common\VST3\CaptureProc.vst3"
  !endif
!macroend

Function .onInit
  ${IfNot} ${AtLeastWin10}
    MessageBox MB_ICONSTOP "CaptureProc needs Windows 10 or newer." /SD IDOK
    SetErrorLevel 2
    Quit
  ${EndIf}
  !insertmacro FindPlugins
FunctionEnd

Function un.onInit
  !insertmacro FindPlugins
FunctionEnd

Section "Command line" CommandLine
  SectionIn RO
  SetOutPath "$INSTDIR"
  File /r "${BUILT}\captureproc\*.*"
  File "${README}"
  WriteUninstaller "$INSTDIR\uninstall.exe"
  WriteRegStr ${HIVE} "${ENTRY}" "DisplayName" "CaptureProc"
  WriteRegStr ${HIVE} "${ENTRY}" "DisplayVersion" "${VERSION}"
  WriteRegStr ${HIVE} "${ENTRY}" "Publisher" "The CaptureProc developers"
  WriteRegStr ${HIVE} "${ENTRY}" "InstallLocation" "$INSTDIR"
  WriteRegStr ${HIVE} "${ENTRY}" "DisplayIcon" "$INSTDIR\captureproc.exe"
  WriteRegStr ${HIVE} "${ENTRY}" "UninstallString" '"$INSTDIR\uninstall.exe"'
  WriteRegStr ${HIVE} "${ENTRY}" "QuietUninstallString" '"$INSTDIR\uninstall.exe" /S'
  WriteRegDWORD ${HIVE} "${ENTRY}" "NoModify" 1
  WriteRegDWORD ${HIVE} "${ENTRY}" "NoRepair" 1
  ${GetSize} "$INSTDIR" "/S=0K" $0 $1 $2
  IntFmt $0 "0x%08X" $0
  WriteRegDWORD ${HIVE} "${ENTRY}" "EstimatedSize" "$0"
SectionEnd

Section "Plug-ins (VST 3)" PlugIns
  ; A host has the library open while it runs. Told before anything is touched, rather than half replaced.
  ${If} ${FileExists} "$Plugins\Contents\x86_64-win\CaptureProc.vst3"
    ClearErrors
    Delete "$Plugins\Contents\x86_64-win\CaptureProc.vst3"
    ${If} ${Errors}
      MessageBox MB_ICONSTOP "The plug-ins are in use: close the programs that have them open, and run this again." /SD IDOK
      SetErrorLevel 2
      Abort "The plug-ins are in use."
    ${EndIf}
  ${EndIf}
  RMDir /r "$Plugins"
  SetOutPath "$Plugins"
  File /r "${BUILT}\CaptureProc.vst3\*.*"
  SetOutPath "$INSTDIR"
SectionEnd

Section "In the PATH" InPath
  Call AddToPath
SectionEnd

Section "The desk in the start menu" StartMenu
  ; It opens with the user's own documents as its folder; another is given on the command line.
  SetOutPath "$DOCUMENTS"
  CreateShortcut "$SMPROGRAMS\CaptureProc desk.lnk" "$INSTDIR\captureproc.exe" "desk" "$INSTDIR\captureproc.exe" 0 SW_SHOWMINIMIZED "" \
    "Opens the sessions of your documents folder in the browser"
  SetOutPath "$INSTDIR"
SectionEnd

Section "Uninstall"
  Call un.RemoveFromPath
  Delete "$SMPROGRAMS\CaptureProc desk.lnk"
  RMDir /r "$Plugins"
  ; What was installed, by name: somebody may have chosen a folder with other things in it. Sessions and published sessions stay.
  !include "${OUT}.files.nsh"
  Delete "$INSTDIR\README.md"
  Delete "$INSTDIR\uninstall.exe"
  RMDir "$INSTDIR"
  DeleteRegKey ${HIVE} "${ENTRY}"
SectionEnd
