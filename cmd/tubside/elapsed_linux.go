package main

import "golang.org/x/sys/unix"

const sinceBoot = unix.CLOCK_BOOTTIME
