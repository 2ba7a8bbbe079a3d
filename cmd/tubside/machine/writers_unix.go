//go:build unix

package machine

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// Writers says in a clause who else may change the file at path or put another in its
// place; "" for nobody. Lists of rights beyond those of owner, group and others are
// not looked at.
func Writers(path string) string {
	for _, p := range []string{path, filepath.Dir(path)} {
		info, err := os.Stat(p)
		if err != nil {
			continue // not there yet
		}
		st, ok := info.Sys().(*syscall.Stat_t)
		if !ok {
			continue
		}
		mode := info.Mode()
		switch me := uint32(os.Getuid()); {
		case st.Uid != me && st.Uid != 0:
			return p + " belongs to another user"
		case info.IsDir() && mode&os.ModeSticky != 0: // others may add to it, and change nothing
		case mode.Perm()&0o002 != 0:
			return fmt.Sprintf("any user may change %s", p)
		// A group with the number of its user is, by custom, of that user alone.
		case mode.Perm()&0o020 != 0 && !(st.Gid == st.Uid && st.Uid == me):
			return fmt.Sprintf("other users of its group may change %s", p)
		}
	}
	return ""
}
