//go:build unix

package main

import (
	"fmt"
	"os"
	"syscall"
)

// sameDisk says whether two folders lie on one disk; known is false where nobody can say.
func sameDisk(a, b string) (same, known bool) {
	x, okX := deviceOf(a)
	y, okY := deviceOf(b)
	return x == y, okX && okY
}

// deviceOf is the disk's name as a text: systems count them in numbers of several sizes.
func deviceOf(path string) (device string, ok bool) {
	info, err := os.Stat(path)
	if err != nil {
		return "", false
	}
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return "", false
	}
	return fmt.Sprint(s.Dev), true
}
