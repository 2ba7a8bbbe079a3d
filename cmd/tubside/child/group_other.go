//go:build !unix

package child

import (
	"os"
	"os/exec"
)

// There is no group to be had from the standard library here: what a program
// starts may outlive it.
func ownGroup(*exec.Cmd) {}

func killGroup(p *os.Process) {
	// It may have ended by itself.
	_ = p.Kill()
}
