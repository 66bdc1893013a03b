; One folder into and out of the PATH of a user or of the machine.
;
; By calls of Windows instead of ReadRegStr, whose strings end at 1024 characters: a longer PATH would be cut off and lost. The value keeps its
; kind (with %NAMES% in it or without), and nothing but our own entry changes.
; Sources: Windows registry functions RegGetValueW and RegSetKeyValueW; RRF_RT_REG_SZ 2, RRF_RT_REG_EXPAND_SZ 4, RRF_NOEXPAND 0x10000000.

!ifdef ALL_USERS
  !define PATH_ROOT 0x80000002
  !define PATH_KEY "SYSTEM\CurrentControlSet\Control\Session Manager\Environment"
!else
  !define PATH_ROOT 0x80000001
  !define PATH_KEY "Environment"
!endif
!define PATH_BYTES 65536

; $R0 the value's text (memory), $R1 its kind, $R2 how many bytes; an empty text where there is none.
!macro ReadPath
  System::Alloc ${PATH_BYTES}
  Pop $R0
  System::Call 'advapi32::RegGetValueW(p ${PATH_ROOT}, w "${PATH_KEY}", w "Path", i 0x10000006, *i 0 .R1, p R0, *i ${PATH_BYTES} .R2) i .R3'
  ${If} $R3 != 0
    StrCpy $R1 2
    System::Call 'kernel32::lstrcpyW(p R0, w "")'
  ${EndIf}
!macroend

!macro WritePath
  System::Call 'kernel32::lstrlenW(p R0) i .R2'
  IntOp $R2 $R2 + 1
  IntOp $R2 $R2 * 2
  System::Call 'advapi32::RegSetKeyValueW(p ${PATH_ROOT}, w "${PATH_KEY}", w "Path", i R1, p R0, i R2) i .R3'
  ; Programs that start from now on see it.
  System::Call 'user32::SendMessageTimeoutW(p 0xffff, i 0x1A, p 0, w "Environment", i 2, i 2000, p 0)'
!macroend

Function AddToPath
  !insertmacro ReadPath
  ${If} $R3 != 0
  ${AndIf} $R3 != 2
    ; There is a PATH that cannot be read whole: it stays as it is.
    DetailPrint "PATH is left as it is; add $INSTDIR to it by hand."
  ${Else}
    System::Call 'kernel32::lstrlenW(p R0) i .R4'
    System::Call 'shlwapi::StrStrIW(p R0, w "$INSTDIR") p .R5'
    ${If} $R5 P= 0
      ${If} $R4 > 0
        System::Call 'kernel32::lstrcatW(p R0, w ";")'
      ${EndIf}
      System::Call 'kernel32::lstrcatW(p R0, w "$INSTDIR")'
      !insertmacro WritePath
    ${EndIf}
  ${EndIf}
  System::Free $R0
FunctionEnd

Function un.RemoveFromPath
  !insertmacro ReadPath
  ${If} $R3 == 0
    StrLen $R6 $INSTDIR
    System::Call 'shlwapi::StrStrIW(p R0, w "$INSTDIR") p .R5'
    ${If} $R5 P<> 0
      ; From the semicolon before it, or else with the one behind it; then what follows moves up.
      IntPtrOp $R7 $R5 + $R6
      IntPtrOp $R7 $R7 + $R6
      System::Call '*$R7(&i2 .R8)'
      ; Another folder whose name only begins like ours is not ours.
      ${If} $R8 == 0
      ${OrIf} $R8 == 59
        ${If} $R5 P<> $R0
          IntPtrOp $R5 $R5 - 2
        ${ElseIf} $R8 == 59
          IntPtrOp $R7 $R7 + 2
        ${EndIf}
        System::Call 'kernel32::lstrlenW(p R7) i .R8'
        IntOp $R8 $R8 + 1
        IntOp $R8 $R8 * 2
        System::Call 'ntdll::memmove(p R5, p R7, p R8)'
        !insertmacro WritePath
      ${EndIf}
    ${EndIf}
  ${EndIf}
  System::Free $R0
FunctionEnd
