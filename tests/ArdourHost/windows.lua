-- Puts one plug-in each on a track of its own; prints "windows: TRACK ROUTE PROCESSOR" with the ids that the session file has.
--   ardour7-lua windows.lua SESSION_FOLDER "PLUG-IN:INPUTS"...
local folder = arg[1]
AudioEngine:set_backend ("None (Dummy)", "Unit-Test", "")
local session = assert (load_session (folder, "windows"), "the session cannot be opened")
for i = 2, #arg do
	local plugin, inputs = arg[i]:match ("^(.+):(%d+)$")
	local name = plugin:gsub ("%s", "")
	local route
	for t in session:new_audio_track (tonumber (inputs), 4, nil, 1, name, ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal, false):iter () do
		route = t
	end
	local processor = ARDOUR.LuaAPI.new_plugin (session, plugin, ARDOUR.PluginType.VST3, "")
	assert (not processor:isnil (), "the host does not know " .. plugin)
	assert (route:add_processor_by_index (processor, 0, nil, true) == 0, "the track refuses " .. plugin)
	print ("windows:", name, route:to_stateful ():id ():to_s (), processor:to_stateful ():id ():to_s ())
end
session:save_state ("")
session = nil
collectgarbage ()
close_session ()
