-- Builds an Ardour session from a plan of tracks, loads it again as a user would, and exports the master.
--   ardour7-lua render.lua SESSION_FOLDER PLAN
-- SESSION_FOLDER/render.ardour is an empty session with a master of four channels. See README.md for the plan.

local folder, plan_file = arg[1], arg[2]
local NAME = "render"
local TICKS_PER_SECOND = 282240000 -- the unit of audio time in Ardour 7's session files
local PRESET_ID = "5b1f7c60-2a4d-4f1b-8f5e-3c9a60d7e114" -- export.preset

local function log (...) print ("render:", string.format (...)) end

local function read_file (path)
	local file = assert (io.open (path, "rb"))
	local content = file:read ("a")
	file:close ()
	return content
end

local function wav_shape (path)
	local data = read_file (path)
	assert (data:sub (1, 4) == "RIFF" and data:sub (9, 12) == "WAVE", path .. ": no WAV file")
	local shape, at = {}, 13
	while at + 8 <= #data do
		local size = string.unpack ("<I4", data, at + 4)
		local id = data:sub (at, at + 3)
		if id == "fmt " then
			local _
			_, shape.channels, shape.rate, _, shape.align = string.unpack ("<I2I2I4I4I2", data, at + 8)
		elseif id == "data" then
			shape.bytes = size
		end
		at = at + 8 + size + size % 2
	end
	shape.frames = shape.bytes // shape.align
	return shape
end

local function read_plan (path)
	local tracks = {}
	for line in io.lines (path) do
		local name, width, wav = line:match ("^track (%S+) (%d+) (.+)$")
		local plugin = line:match ("^insert (.+)$")
		local label, value = line:match ("^set (.-) = (%S+)$")
		if name then
			table.insert (tracks, { name = name, width = tonumber (width), wav = wav, shape = wav_shape (wav), inserts = {} })
		elseif plugin then
			table.insert (tracks[#tracks].inserts, { plugin = plugin, settings = {} })
		elseif label then
			local inserts = tracks[#tracks].inserts
			table.insert (inserts[#inserts].settings, { label = label, value = tonumber (value) })
		elseif line ~= "" then
			error ("a line of the plan is not understood: " .. line)
		end
	end
	return tracks
end

local function open ()
	AudioEngine:set_backend ("None (Dummy)", "Unit-Test", "")
	return assert (load_session (folder, NAME), "the session cannot be opened")
end

local function add_insert (session, route, position, insert)
	local processor = ARDOUR.LuaAPI.new_plugin (session, insert.plugin, ARDOUR.PluginType.VST3, "")
	assert (not processor:isnil (), "the host does not know " .. insert.plugin)
	assert (route:add_processor_by_index (processor, position, nil, true) == 0, "the track refuses " .. insert.plugin)
	local plugin = processor:to_plugininsert ():plugin (0)
	local place = {}
	for i = 0, plugin:parameter_count () - 1 do
		place[plugin:parameter_label (i)] = i
	end
	for _, setting in ipairs (insert.settings) do
		local parameter = assert (place[setting.label], insert.plugin .. " has no parameter " .. setting.label)
		assert (ARDOUR.LuaAPI.set_processor_param (processor, parameter, setting.value), "refused: " .. setting.label)
		-- A choice of session has to be taken over before the spots in it have names.
		sleep (0.4)
	end
	log ("%s: latency %d", insert.plugin, processor:to_plugininsert ():signal_latency ())
end

local function build (tracks)
	local session = open ()
	-- Panners would mix the channels of anything wider than stereo.
	session:master_out ():panner_shell ():set_bypassed (true)
	for _, track in ipairs (tracks) do
		local route
		for t in session:new_audio_track (track.shape.channels, track.width, nil, 1, track.name,
				ARDOUR.PresentationInfo.max_order, ARDOUR.TrackMode.Normal, false):iter () do
			route = t
		end
		route:panner_shell ():set_bypassed (true)
		for position, insert in ipairs (track.inserts) do
			add_insert (session, route, position - 1, insert)
		end
	end
	sleep (0.5)
	session:save_state ("")
	session = nil
	collectgarbage ()
	close_session ()
end

-- The scripting interface cannot import audio, so sources, regions and the range go into the session's XML.
local function put_audio (tracks)
	local path = ARDOUR.LuaAPI.build_filename (folder, NAME .. ".ardour")
	local xml = read_file (path)
	local counter = tonumber (xml:match ('id%-counter="(%d+)"')) + 1000
	local function next_id ()
		counter = counter + 1
		return counter
	end
	local function replace (from, to)
		local first, last = xml:find (from, 1, true)
		assert (first, "the session file has no " .. from)
		xml = xml:sub (1, first - 1) .. to .. xml:sub (last + 1)
	end

	local sources, regions = {}, {}
	for _, track in ipairs (tracks) do
		local length = track.shape.frames * TICKS_PER_SECOND // track.shape.rate
		local links = {}
		for channel = 0, track.shape.channels - 1 do
			local id = next_id ()
			table.insert (sources, string.format (
				'<Source name="%s" type="audio" flags="" id="%d" natural-position="a0" channel="%d" origin="" gain="1"/>',
				track.wav, id, channel))
			table.insert (links, string.format ('source-%d="%d" master-source-%d="%d"', channel, id, channel, id))
		end
		local function region (whole_file)
			return string.format (
				'<Region name="%s" id="%d" type="audio" channels="%d" whole-file="%d" start="a0" length="a%d@a0" sync-position="a0"' ..
				' muted="0" opaque="1" external="1" default-fade-in="0" default-fade-out="0" fade-in-active="0" fade-out-active="0"' ..
				' envelope-active="0" scale-amplitude="1" stretch="1" shift="1" %s>' ..
				'<Envelope default="yes"/><FadeIn default="yes"/><FadeOut default="yes"/></Region>',
				track.name, next_id (), track.shape.channels, whole_file, length, table.concat (links, " "))
		end
		table.insert (regions, region (1))
		local playlist = assert (xml:match ('<Playlist [^>]-name="' .. track.name .. '"[^>]-/>'), "no playlist of " .. track.name)
		replace (playlist, playlist:sub (1, -3) .. ">" .. region (0) .. "</Playlist>")
	end
	replace ("<Sources/>", "<Sources>" .. table.concat (sources) .. "</Sources>")
	replace ("<Regions/>", "<Regions>" .. table.concat (regions) .. "</Regions>")
	replace ("<Locations/>", string.format (
		'<Locations><Location id="%d" name="session" start="a0" end="a%d" flags="IsSessionRange" locked="0"/></Locations>',
		next_id (), tracks[1].shape.frames * TICKS_PER_SECOND // tracks[1].shape.rate))
	xml = xml:gsub ('id%-counter="%d+"', 'id-counter="' .. counter + 1000 .. '"', 1)
	local file = assert (io.open (path, "wb"))
	file:write (xml)
	file:close ()
end

local function export (tracks)
	local session = open ()
	for route in session:get_tracks ():iter () do
		local n = 0
		while not route:nth_plugin (n):isnil () do
			log ("reloaded %s: latency %d", route:name (), route:nth_plugin (n):to_plugininsert ():signal_latency ())
			n = n + 1
		end
	end
	local job = session:simple_export ()
	assert (job:set_preset (PRESET_ID), "the export preset is not installed")
	job:set_folder (ARDOUR.LuaAPI.build_filename (folder, "export"))
	job:set_name (NAME)
	job:set_range (0, tracks[1].shape.frames)
	assert (job:run_export (), "the export failed")
	job, session = nil, nil
	collectgarbage ()
	close_session ()
end

local tracks = read_plan (plan_file)
build (tracks)
put_audio (tracks)
export (tracks)
log ("done")
