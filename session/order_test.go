package session_test

import (
	"go/ast"
	"go/token"
	"path"
	"slices"
	"strings"
	"testing"
)

// fileOrder is how the files of the wash day build on each other: a file uses what is
// declared in those before it, and nothing of those behind it.
var fileOrder = strings.Fields(`
state.go alarm.go howout.go command.go event.go day.go heat.go fill.go drying.go left.go
tank.go standing.go refuse.go hands.go proof.go apply_alarm.go event_json.go deciding.go
kettle.go apply.go alarmsettings.go fillnow.go ahead.go toocool.go remedy.go toofar.go
learn.go evaluate.go doc.go record.go topup.go decide_plan.go decide_alarm.go racked.go
soaked.go decide.go engine.go together.go
`)

// TestFilesOfTheDayBuildOnEachOther: an arrow that runs up is a knot for whoever reads
// from the beginning.
func TestFilesOfTheDayBuildOnEachOther(t *testing.T) {
	declaredIn := map[string]string{}                                                    // package-level names, and methods as ".name"
	fieldsAndTwins := map[string]bool{".Rack": true, ".After": true, ".HeatJPerK": true} // ".name" that says nothing: a field, or a method of two types, here or elsewhere
	var files []source
	for _, s := range sources(t) {
		if s.dir() != "session" || strings.HasSuffix(s.path, "_test.go") {
			continue
		}
		files = append(files, s)
		name := path.Base(s.path)
		if !slices.Contains(fileOrder, name) {
			t.Errorf("%s has no place in fileOrder", name)
		}
		for _, d := range s.file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				key := d.Name.Name
				if d.Recv != nil {
					if key = "." + key; declaredIn[key] != "" {
						fieldsAndTwins[key] = true
					}
				}
				declaredIn[key] = name
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					switch spec := spec.(type) {
					case *ast.TypeSpec:
						declaredIn[spec.Name.Name] = name
						ast.Inspect(spec.Type, func(n ast.Node) bool {
							if f, ok := n.(*ast.Field); ok {
								for _, id := range f.Names {
									fieldsAndTwins["."+id.Name] = true
								}
							}
							return true
						})
					case *ast.ValueSpec:
						for _, id := range spec.Names {
							declaredIn[id.Name] = name
						}
					}
				}
			}
		}
	}
	if len(files) != len(fileOrder) {
		t.Errorf("%d files, %d in fileOrder", len(files), len(fileOrder))
	}
	arrows := map[[2]string]bool{}
	for _, s := range files {
		from := path.Base(s.path)
		uses := func(key string, at token.Pos) {
			to := declaredIn[key]
			if to == "" || to == from || fieldsAndTwins[key] {
				return
			}
			arrows[[2]string{from, to}] = true
			if slices.Index(fileOrder, to) > slices.Index(fileOrder, from) {
				t.Errorf("%s uses %s of %s, which stands behind it", s.pos.Position(at), strings.TrimPrefix(key, "."), to)
			}
		}
		local := map[string]bool{} // what a function calls its own hides the package's
		for _, d := range s.file.Decls {
			clear(local)
			ast.Inspect(d, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.AssignStmt:
					for _, l := range n.Lhs {
						if id, ok := l.(*ast.Ident); ok && n.Tok == token.DEFINE {
							local[id.Name] = true
						}
					}
				case *ast.Field:
					for _, id := range n.Names {
						local[id.Name] = true
					}
				case *ast.RangeStmt:
					for _, e := range []ast.Expr{n.Key, n.Value} {
						if id, ok := e.(*ast.Ident); ok {
							local[id.Name] = true
						}
					}
				}
				return true
			})
			ast.Inspect(d, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.SelectorExpr:
					if x, ok := n.X.(*ast.Ident); !ok || !slices.Contains([]string{"shed", "measure", "cooling", "yield", "lifecycle", "time", "math", "slices", "strings", "fmt", "errors"}, x.Name) {
						uses("."+n.Sel.Name, n.Sel.Pos())
					}
				case *ast.Ident:
					if !local[n.Name] {
						uses(n.Name, n.Pos())
					}
				}
				return true
			})
		}
	}
	if len(arrows) < 80 {
		t.Errorf("only %d arrows between files are seen", len(arrows))
	}
}
