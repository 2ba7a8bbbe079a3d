package sound

import "os"

// systemPaths are the ways out: the system's own player.
func systemPaths(o Options, _ *debt) []path {
	return []path{{name: "afplay", start: filed(o.Env, "afplay", "/usr/bin/afplay")}}
}

// shrink leaves a pipe as it is: here none can be made smaller.
func shrink(*os.File) {}
