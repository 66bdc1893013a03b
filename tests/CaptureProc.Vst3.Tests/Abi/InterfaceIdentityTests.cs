using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Tests.Abi;

/// <remarks>
/// Bytes of every id and size of every function table as a C program printed them (gcc 12.2, x86-64 Linux,
/// vst3_c_api.h of the VST 3 SDK, version 3.8.1), once as the header is on Linux and macOS, once with its COM layout switched on.
/// Those of the views were copied from that header's text: its words, and the functions counted; there the COM bytes are worked out.
/// </remarks>
public sealed unsafe class InterfaceIdentityTests
{
    public static TheoryData<string, string, string, int> Printed => new()
    {
        { nameof(FUnknown), "0000000000000000C000000000000046", "0000000000000000C000000000000046", 24 },
        { nameof(IBStream), "C3BF6EA2309947529B6BF9901EE33E9B", "A26EBFC3993052479B6BF9901EE33E9B", 56 },
        { nameof(IPluginBase), "22888DDB156E45AE8358B34808190625", "DB8D88226E15AE458358B34808190625", 40 },
        { nameof(IPluginFactory), "7A4D811C52114A1FAED9D2EE0B43BF9F", "1C814D7A11521F4AAED9D2EE0B43BF9F", 56 },
        { nameof(IPluginFactory2), "0007B650F24B4C0BA464EDB9F00B2ABB", "50B607004BF20B4CA464EDB9F00B2ABB", 64 },
        { nameof(IPluginFactory3), "4555A2ABC1234E579B12291036878931", "ABA2554523C1574E9B12291036878931", 80 },
        { nameof(IComponent), "E831FF31F2D54301928EBBEE25697802", "31FF31E8D5F20143928EBBEE25697802", 112 },
        { nameof(IAudioProcessor), "42043F99B7DA453CA569E79D9AAEC33D", "993F0442DAB73C45A569E79D9AAEC33D", 88 },
        { nameof(IProcessContextRequirements), "2A654303EF764E3D95B5FE83730EF6D0", "0343652A76EF3D4E95B5FE83730EF6D0", 32 },
        { nameof(IEditController), "DCD7BBE37742448DA874AACC979C759E", "E3BBD7DC42778D44A874AACC979C759E", 144 },
        { nameof(IEditControllerHostEditing), "C127120870594098B9DD34B36BB0195E", "081227C159709840B9DD34B36BB0195E", 40 },
        { nameof(IComponentHandler), "93A0BEA30BD045DB8E890B0CC1E46AC6", "A3BEA093D00BDB458E890B0CC1E46AC6", 56 },
        { nameof(IConnectionPoint), "70A4156F6E6E4026989148BFAA60D8D1", "6F15A4706E6E2640989148BFAA60D8D1", 48 },
        { nameof(IMessage), "936F033BC6C047DBBB0882F813C1E613", "3B036F93C0C6DB47BB0882F813C1E613", 48 },
        { nameof(IAttributeList), "1E5F0AEBCC7F4533A254401138AD5EE4", "EB0A5F1E7FCC3345A254401138AD5EE4", 88 },
        { nameof(IHostApplication), "58E595CCDB2D49698B6AAF8C36A664E5", "CC95E5582DDB69498B6AAF8C36A664E5", 40 },
        { nameof(IParameterChanges), "A47796630BB64A56B44384A8466FEB9D", "639677A4B60B564AB44384A8466FEB9D", 48 },
        { nameof(IParamValueQueue), "01263A18ED074F6F98C9D3564686F9BA", "183A260107ED6F4F98C9D3564686F9BA", 56 },
        { nameof(IEventList), "3A2C4214346349FEB2C4F397B9695A44", "14422C3A6334FE49B2C4F397B9695A44", 48 },
        { nameof(IPlugView), "5BC32507D06049EAA6151B522B755B29", "0725C35B60D0EA49A6151B522B755B29", 120 },
        { nameof(IPlugFrame), "367FAF01AFA946938D4DA2A0ED0882A3", "01AF7F36A9AF93468D4DA2A0ED0882A3", 32 },
        { nameof(IPlugViewContentScaleSupport), "65ED96908AC445258AADEF7A72EA703F", "9096ED65C48A25458AADEF7A72EA703F", 32 },
        { nameof(IRunLoop), "18C3536697764F1A9C5B83857A871389", "6653C31876971A4F9C5B83857A871389", 56 },
        { nameof(IEventHandler), "561E65C913A0496F813A2C35654D7983", "C9651E56A0136F49813A2C35654D7983", 32 },
        { nameof(ITimerHandler), "10BDD94F41424774821FAD8FECA72CA9", "4FD9BD1042417447821FAD8FECA72CA9", 32 },
        { nameof(IComponentHandler3), "69F11617D26B400DA4B6B9647B6EBBAB", "1716F1696BD20D40A4B6B9647B6EBBAB", 32 },
        { nameof(IContextMenu), "2E93C8630C9C458897DBECF5AD17817D", "63C8932E9C0C884597DBECF5AD17817D", 64 },
    };

    [Theory]
    [MemberData(nameof(Printed))]
    public void AnInterfaceHasTheIdAndTheTableOfTheHeader(string name, string bigEndian, string com, int tableBytes)
    {
        var (id, size) = Declared(name);
        Assert.Equal(OperatingSystem.IsWindows() ? com : bigEndian, BytesOf(id));
        Assert.Equal(tableBytes, size);

        // The words, read off the big-endian bytes, give both layouts and back again the same text.
        var words = Enumerable.Range(0, 4).Select(i => Convert.ToUInt32(bigEndian.Substring(8 * i, 8), 16)).ToArray();
        var plainId = new Tuid(words[0], words[1], words[2], words[3], TuidLayout.BigEndian);
        var comId = new Tuid(words[0], words[1], words[2], words[3], TuidLayout.Com);
        Assert.Equal((bigEndian, com), (BytesOf(plainId), BytesOf(comId)));
        Assert.Equal((bigEndian, bigEndian), (plainId.ToString(TuidLayout.BigEndian), comId.ToString(TuidLayout.Com)));
    }

    [Fact]
    public void TheComLayoutIsThatOfAGuid()
    {
        // System.Guid is the platform's own idea of the layout.
        var id = new Tuid(0x01234567, 0x89ABCDEF, 0x02468ACE, 0x13579BDF, TuidLayout.Com);
        Assert.Equal(new Guid("01234567-89AB-CDEF-0246-8ACE13579BDF"), *(Guid*)&id);
    }

    [Theory]
    [InlineData("0123456789ABCDEF02468ACE13579BDF", true)]
    [InlineData("0123456789abcdef02468ace13579bdf", true)]
    [InlineData("0123456789ABCDEF02468ACE13579BD", false)]
    [InlineData("0123456789ABCDEF02468ACE13579BDG", false)]
    public void TextOfThirtyTwoDigitsIsAnIdAndNothingElseIs(string text, bool valid)
    {
        Assert.Equal(valid, Tuid.TryParse(text, out var id));
        if (valid)
            Assert.Equal(text.ToUpperInvariant(), id.ToString());
    }

    [Fact]
    public void ResultsHaveTheValuesOfTheHeaderOnBothKindsOfPlatform()
    {
        // vst3_c_api.h, SDK 3.8.1, result values.
        Assert.Equal(new ResultCodes(-1, 2, 3, 4, 5, 6), ResultCodes.Plain);
        uint[] com = [0x80004002, 0x80070057, 0x80004001, 0x80004005, 0x8000FFFF, 0x8007000E];
        var codes = ResultCodes.Com;
        Assert.Equal(
            com, new[] { codes.NoInterface, codes.InvalidArgument, codes.NotImplemented, codes.InternalError, codes.NotInitialized, codes.OutOfMemory }
                .Select(code => unchecked((uint)code)));
        Assert.Equal((0, 1), (Result.Ok, Result.False));
    }

    private static string BytesOf(Tuid id) => Convert.ToHexString(new ReadOnlySpan<byte>(&id, 16));

    private static (Tuid Id, int TableBytes) Declared(string name) => name switch
    {
        nameof(FUnknown) => (FUnknown.Iid, sizeof(FUnknown.Vtbl)),
        nameof(IBStream) => (IBStream.Iid, sizeof(IBStream.Vtbl)),
        nameof(IPluginBase) => (IPluginBase.Iid, sizeof(IPluginBase.Vtbl)),
        nameof(IPluginFactory) => (IPluginFactory.Iid, sizeof(IPluginFactory.Vtbl)),
        nameof(IPluginFactory2) => (IPluginFactory2.Iid, sizeof(IPluginFactory2.Vtbl)),
        nameof(IPluginFactory3) => (IPluginFactory3.Iid, sizeof(IPluginFactory3.Vtbl)),
        nameof(IComponent) => (IComponent.Iid, sizeof(IComponent.Vtbl)),
        nameof(IAudioProcessor) => (IAudioProcessor.Iid, sizeof(IAudioProcessor.Vtbl)),
        nameof(IProcessContextRequirements) => (IProcessContextRequirements.Iid, sizeof(IProcessContextRequirements.Vtbl)),
        nameof(IEditController) => (IEditController.Iid, sizeof(IEditController.Vtbl)),
        nameof(IEditControllerHostEditing) => (IEditControllerHostEditing.Iid, sizeof(IEditControllerHostEditing.Vtbl)),
        nameof(IComponentHandler) => (IComponentHandler.Iid, sizeof(IComponentHandler.Vtbl)),
        nameof(IConnectionPoint) => (IConnectionPoint.Iid, sizeof(IConnectionPoint.Vtbl)),
        nameof(IMessage) => (IMessage.Iid, sizeof(IMessage.Vtbl)),
        nameof(IAttributeList) => (IAttributeList.Iid, sizeof(IAttributeList.Vtbl)),
        nameof(IHostApplication) => (IHostApplication.Iid, sizeof(IHostApplication.Vtbl)),
        nameof(IParameterChanges) => (IParameterChanges.Iid, sizeof(IParameterChanges.Vtbl)),
        nameof(IParamValueQueue) => (IParamValueQueue.Iid, sizeof(IParamValueQueue.Vtbl)),
        nameof(IEventList) => (IEventList.Iid, sizeof(IEventList.Vtbl)),
        nameof(IPlugView) => (IPlugView.Iid, sizeof(IPlugView.Vtbl)),
        nameof(IPlugFrame) => (IPlugFrame.Iid, sizeof(IPlugFrame.Vtbl)),
        nameof(IPlugViewContentScaleSupport) => (IPlugViewContentScaleSupport.Iid, sizeof(IPlugViewContentScaleSupport.Vtbl)),
        nameof(IRunLoop) => (IRunLoop.Iid, sizeof(IRunLoop.Vtbl)),
        nameof(IEventHandler) => (IEventHandler.Iid, sizeof(IEventHandler.Vtbl)),
        nameof(ITimerHandler) => (ITimerHandler.Iid, sizeof(ITimerHandler.Vtbl)),
        nameof(IComponentHandler3) => (IComponentHandler3.Iid, sizeof(IComponentHandler3.Vtbl)),
        nameof(IContextMenu) => (IContextMenu.Iid, sizeof(IContextMenu.Vtbl)),
        _ => throw new ArgumentOutOfRangeException(nameof(name), name, null),
    };
}
