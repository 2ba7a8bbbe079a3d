package session_test

import (
	"go/ast"
	"go/token"
	"strings"
	"testing"

	"fleece.example/tubside/session/sessiontest"
)

// mentioned are the identifiers in those of the sources that a condition chooses.
func mentioned(all []source, in func(source) bool) map[string]bool {
	out := map[string]bool{}
	for _, s := range all {
		if s.isTest() || !in(s) {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if id, ok := n.(*ast.Ident); ok {
				out[id.Name] = true
			}
			return true
		})
	}
	return out
}

// What the how-to in DEVELOPERS.md asks for, and neither compiler nor linter misses: an
// event that nothing applies, a command that nobody can give, an alarm without a cause.
func TestHowToIsFollowed(t *testing.T) {
	all := sources(t)
	applied := mentioned(all, func(s source) bool { return strings.HasPrefix(s.path, "session/apply") })
	caused := mentioned(all, func(s source) bool { return s.path == "session/evaluate.go" })
	given := mentioned(all, func(s source) bool { return s.folder() == "tui" || s.folder() == "cmd" })
	var events, commands, alarms []string
	for _, s := range all {
		switch s.path {
		case "session/event.go":
			events = sessiontest.ReceiversOf(s.file, "kind")
		case "session/command.go":
			commands = sessiontest.ReceiversOf(s.file, "isCommand")
		case "session/alarm.go":
			alarms = constantsOf(s.file, "AlarmKind")
		}
	}
	for _, list := range []struct {
		names []string
		in    map[string]bool
		wrong string
	}{
		{events, applied, "%s: nothing in session/apply.go says what it changes"},
		{commands, given, "%s: no screen and no subcommand gives this command"},
		{alarms, caused, "%s: no cause in session/evaluate.go raises this alarm"},
	} {
		if len(list.names) < 10 {
			t.Errorf("only %v found", list.names)
		}
		for _, name := range list.names {
			if !list.in[name] && name != "NotSaved" { // the keeper of the day rings it
				t.Errorf(list.wrong, name)
			}
		}
	}
}

// constantsOf lists the constants of the group whose first has a type.
func constantsOf(f *ast.File, typeName string) (out []string) {
	for _, d := range f.Decls {
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.CONST {
			continue
		}
		if id, ok := g.Specs[0].(*ast.ValueSpec).Type.(*ast.Ident); !ok || id.Name != typeName {
			continue
		}
		for _, s := range g.Specs {
			out = append(out, s.(*ast.ValueSpec).Names[0].Name)
		}
	}
	return out
}
