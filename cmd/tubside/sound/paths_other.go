//go:build !linux && !darwin && !windows

package sound

import (
	"os"
	"os/exec"
)

// systemPaths are the players that may be there.
func systemPaths(Options, *debt) []path {
	var ways []path
	if _, err := exec.LookPath("paplay"); err == nil {
		ways = append(ways, path{name: "paplay", server: true, start: fed("paplay",
			"paplay", "--raw", "--format=s16le", "--rate=48000", "--channels=1", "--latency-msec=60", "/dev/stdin")})
	}
	return ways
}

// shrink leaves a pipe as it is: here none can be made smaller.
func shrink(*os.File) {}
