// Command tubside is a wash-day timer and coach for people who scour raw
// fleece at home in tubs of hot water.
package main

import "os"

func main() {
	os.Exit(run(os.Args[1:], system{in: os.Stdin, out: os.Stdout, errs: os.Stderr, getenv: os.Getenv}))
}
