package store

import (
	"os"

	"golang.org/x/sys/unix"
)

// forget has the next read of f come from the disk and not from memory.
func forget(f *os.File) {
	_ = unix.Fadvise(int(f.Fd()), 0, 0, unix.FADV_DONTNEED) // without it less is proved, nothing is lost
}

// roomIn is how many bytes are free where the folder lies; ok is false where nobody knows.
func roomIn(folder string) (free uint64, ok bool) {
	var s unix.Statfs_t
	if unix.Statfs(folder, &s) != nil {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
