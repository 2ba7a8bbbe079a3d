package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// dropTyped forgets the keys that a terminal has taken and nobody has read: they are no answer to what is asked
// next. Of what is no terminal it takes nothing.
func dropTyped(f *os.File) { _ = unix.IoctlSetPointerInt(int(f.Fd()), unix.TIOCFLUSH, unix.TCIFLUSH) }
