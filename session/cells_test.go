package session_test

import (
	"go/ast"
	"slices"
	"strings"
	"testing"
)

// TestCellsAreCountedByLetter: what counts cells by what a script draws together makes
// lines that most terminals draw too wide.
func TestCellsAreCountedByLetter(t *testing.T) {
	counts := map[string][]string{
		"ansi":     {"StringWidth", "Truncate", "TruncateLeft", "Cut", "Wrap", "Wordwrap", "Hardwrap"},
		"lipgloss": {"Width", "Size", "JoinHorizontal", "PlaceHorizontal", "Place"},
	}
	for _, s := range sources(t) {
		if s.isTest() || s.path == "tui/draw/fit.go" || !strings.HasPrefix(s.path, "tui/") && !strings.HasPrefix(s.path, "cmd/") {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			sel, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if of, ok := sel.X.(*ast.Ident); ok && slices.Contains(counts[of.Name], sel.Sel.Name) {
				t.Errorf("%v: %s.%s: use what ends in Wc, or tui/draw", s.pos.Position(sel.Pos()), of.Name, sel.Sel.Name)
			}
			return true
		})
	}
}
