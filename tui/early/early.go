// Package early settles the terminal's background before Bubble Tea is
// initialised. Importing Bubble Tea asks the terminal for its background
// colour and waits up to five seconds for one that does not answer; when it
// has been said already, it does not ask. Packages initialise in the order of
// their import paths as far as their imports allow, so the path of this module
// has to sort before github.com: see DEVELOPERS.md.
package early

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
