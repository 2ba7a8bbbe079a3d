//go:build !linux && !darwin && !windows

package sound

import (
	"os"

	"fleece.example/tubside/cmd/tubside/child"
)

// systemPaths are the players that may be there.
func systemPaths(o Options, _ *debt) []path {
	var ways []path
	if _, err := child.Look(o.Env, "paplay"); err == nil {
		ways = append(ways, path{name: "paplay", server: true, start: fed(o.Env, "paplay",
			"paplay", "--raw", "--format=s16le", "--rate=48000", "--channels=1", "--latency-msec=60", "/dev/stdin")})
	}
	return ways
}

// shrink leaves a pipe as it is: here none can be made smaller.
func shrink(*os.File) {}
