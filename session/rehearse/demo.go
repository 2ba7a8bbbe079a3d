package rehearse

import (
	_ "embed" // the script below
	"fmt"
)

//go:embed demo.json
var demoText string

// Demo is the invented day that the program shows by itself.
func Demo() Script {
	s, err := Read([]byte(demoText))
	if err != nil { // a test reads it
		panic(fmt.Sprintf("the built-in script: %v", err))
	}
	return s
}
