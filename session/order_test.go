package session_test

import (
	"go/ast"
	"go/token"
	"path"
	"slices"
	"strings"
	"testing"
)

// fileOrder is how the files of a room build on each other: a file uses what is declared in
// those before it, and nothing of those behind it.
var fileOrder = map[string]string{
	"session/shed": `hours.go limits.go unlikely.go doc.go enum.go parts.go stepkind.go scale.go fleece.go kit.go rack.go plan.go
		learn.go hands.go method.go basket.go supply.go boil.go fleececheck.go join.go waking.go
		quiet.go overnight.go kitcheck.go names.go plancheck.go breeds.go`,
	"session": `limits.go alarm.go found.go event.go kettlerun.go day.go again.go drying.go deciding.go standing.go
		command.go breaks.go hands.go heat.go fill.go doc.go tank.go kettle.go apply_alarm.go contradicted.go
		ahead.go toofar.go apply.go toocool.go record.go goeson.go evaluate.go soaked.go decide_alarm.go
		racked.go event_json.go learn.go remedy.go left.go topup.go decide_plan.go
		decide.go alarmsettings.go engine.go together.go`,
	"session/planner": `unfit.go schedule.go hotwater.go doc.go plan.go overnight.go tank.go breaks.go schedule_read.go
		schedule_run.go split.go solve.go missed.go outlook.go fewertubs.go helps.go when.go`,
	"session/coach": `count.go doc.go line.go pour.go prompt.go tank.go toofar.go cautions.go job.go kettle.go stop.go waits.go coach.go
		calls.go glance.go advice.go together.go next.go away.go`,
	"session/ledger": `rows.go doc.go ports.go names.go review.go book.go past.go stock.go cards.go`,
}

// TestFilesBuildOnEachOther: an arrow that runs up is a knot for whoever reads from the
// beginning.
func TestFilesBuildOnEachOther(t *testing.T) {
	t.Parallel()
	arrows := 0
	for room, order := range fileOrder {
		arrows += arrowsBetweenFiles(t, room, strings.Fields(order))
	}
	if arrows < 200 {
		t.Errorf("only %d arrows between files are seen", arrows)
	}
}

func arrowsBetweenFiles(t *testing.T, room string, fileOrder []string) int {
	t.Helper()
	declaredIn := map[string]string{}                                                    // package-level names, and methods as ".name"
	fieldsAndTwins := map[string]bool{".Rack": true, ".After": true, ".HeatJPerK": true} // ".name" that says nothing: a field, or a method of two types, here or elsewhere
	var files []source
	for _, s := range sources(t) {
		if s.dir() != room { // its methods may be meant
			for _, d := range s.file.Decls {
				if f, ok := d.(*ast.FuncDecl); ok && f.Recv != nil {
					fieldsAndTwins["."+f.Name.Name] = true
				}
			}
		}
		if s.dir() != room || strings.HasSuffix(s.path, "_test.go") {
			continue
		}
		files = append(files, s)
		name := path.Base(s.path)
		if !slices.Contains(fileOrder, name) {
			t.Errorf("%s/%s has no place in fileOrder", room, name)
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
		t.Errorf("%s: %d files, %d in fileOrder", room, len(files), len(fileOrder))
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
		local := map[string]bool{}     // what a function calls its own hides the package's
		named := map[*ast.Ident]bool{} // fields, and what is looked at as a part of something
		for _, d := range s.file.Decls {
			clear(local)
			ast.Inspect(d, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.FuncDecl:
					named[n.Name] = true
				case *ast.SelectorExpr:
					named[n.Sel] = true
				case *ast.KeyValueExpr:
					if id, ok := n.Key.(*ast.Ident); ok {
						named[id] = true
					}
				case *ast.AssignStmt:
					for _, l := range n.Lhs {
						if id, ok := l.(*ast.Ident); ok && n.Tok == token.DEFINE {
							local[id.Name] = true
						}
					}
				case *ast.Field:
					for _, id := range n.Names {
						local[id.Name], named[id] = true, true
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
					if !local[n.Name] && !named[n] {
						uses(n.Name, n.Pos())
					}
				}
				return true
			})
		}
	}
	return len(arrows)
}
