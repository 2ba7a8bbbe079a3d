package session_test

import (
	"go/ast"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
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
	given := mentioned(all, func(s source) bool {
		return s.folder() == "tui" || s.folder() == "cmd" || s.path == "session/ledger/cards.go"
	})
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
			if name := s.(*ast.ValueSpec).Names[0]; name.IsExported() { // the last is how many
				out = append(out, name.Name)
			}
		}
	}
	return out
}

// A key of the running day is in its help and in README.
func TestDayKeysAreTold(t *testing.T) {
	raw := must.Get(os.ReadFile(filepath.Join(root, "README.md"))).In(t)
	var told []string
	for _, m := range regexp.MustCompile(`(?m)^\| ([^|]+) \|`).FindAllStringSubmatch(string(raw), -1) {
		told = append(told, strings.Split(m[1], ", ")...)
	}
	for _, m := range quoted.FindAllStringSubmatch(string(raw), -1) {
		told = append(told, m[1])
	}
	inHelp, fields := map[string]bool{}, []string{}
	for _, s := range sources(t) {
		if s.path != "tui/washday/keys.go" {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.TypeSpec:
				if n.Name.Name == "dayKeys" {
					for _, f := range n.Type.(*ast.StructType).Fields.List {
						for _, name := range f.Names {
							fields = append(fields, name.Name)
						}
					}
				}
			case *ast.FuncDecl:
				if n.Name.Name == "all" {
					ast.Inspect(n, func(n ast.Node) bool {
						if id, ok := n.(*ast.Ident); ok {
							inHelp[id.Name] = true
						}
						return true
					})
				}
			case *ast.KeyValueExpr:
				call, ok := n.Value.(*ast.CallExpr)
				if !ok || len(call.Args) < 2 {
					return true
				}
				if l, ok := call.Args[0].(*ast.BasicLit); ok && !slices.Contains(told, unquoted(l)) {
					t.Errorf("README lacks the key %s", l.Value)
				}
			}
			return true
		})
	}
	if len(fields) < 10 {
		t.Errorf("only %v found", fields)
	}
	for _, f := range fields {
		if !inHelp[f] && f != "off" { // while the time away is a guess: its line says so
			t.Errorf("%s is not in all(), which the help shows", f)
		}
	}
}
