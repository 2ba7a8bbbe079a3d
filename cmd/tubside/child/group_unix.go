//go:build unix

package child

import (
	"os"
	"os/exec"
	"syscall"
)

func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

func killGroup(p *os.Process) {
	// The group is gone when all of it has ended: nothing to do then.
	_ = syscall.Kill(-p.Pid, syscall.SIGKILL)
}
