package session_test

import (
	"go/ast"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

// declared is what the module's sources declare.
type declared struct {
	names map[string]bool     // "Name", "pkg.Name", "Type.Member", "pkg.Type.Member"
	tests map[string][]string // functions of test files, by each folder over them
}

func declarations(t *testing.T) declared {
	t.Helper()
	d := declared{map[string]bool{}, map[string][]string{}}
	for _, s := range sources(t) {
		pkg := strings.TrimSuffix(s.file.Name.Name, "_test")
		add := func(owner, name string) {
			d.names[name], d.names[pkg+"."+name] = true, true
			if owner != "" {
				d.names[owner+"."+name], d.names[pkg+"."+owner+"."+name] = true, true
			}
		}
		fields := func(owner string, list *ast.FieldList) {
			for _, f := range list.List {
				for _, n := range f.Names {
					add(owner, n.Name)
				}
			}
		}
		for _, decl := range s.file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok {
				owner := ""
				if f.Recv != nil {
					e := f.Recv.List[0].Type
					if p, ok := e.(*ast.StarExpr); ok {
						e = p.X
					}
					if id, ok := e.(*ast.Ident); ok {
						owner = id.Name
					}
				}
				add(owner, f.Name.Name)
				if strings.HasSuffix(s.path, "_test.go") {
					for dir := s.dir(); ; dir = path.Dir(dir) {
						d.tests[dir] = append(d.tests[dir], f.Name.Name)
						if dir == "." {
							break
						}
					}
				}
				continue
			}
			for _, spec := range decl.(*ast.GenDecl).Specs {
				switch spec := spec.(type) {
				case *ast.ValueSpec:
					for _, n := range spec.Names {
						add("", n.Name)
					}
				case *ast.TypeSpec:
					add("", spec.Name.Name)
					switch body := spec.Type.(type) {
					case *ast.StructType:
						fields(spec.Name.Name, body.Fields)
					case *ast.InterfaceType:
						fields(spec.Name.Name, body.Methods)
					}
				}
			}
		}
	}
	return d
}

var (
	goTest     = regexp.MustCompile(`go test\b[^\n)` + "`" + `]*|[(;] ?-run [^)]*\)`)
	asked      = regexp.MustCompile(`-(run|bench)[ =]+('[^']+'|[^\s)'";,]+)`)
	folder     = regexp.MustCompile(`\./[\w/]+`)
	quoted     = regexp.MustCompile("`([^`\n]+)`")
	goName     = regexp.MustCompile(`^[A-Za-z]\w*(\.[A-Za-z]\w*)*$`)
	inCamel    = regexp.MustCompile(`[a-z][A-Z]|^[A-Z][a-z]+$`)
	inTestdata = regexp.MustCompile(`testdata/[\w/-]+(\.\w+)?`)
	isFile     = regexp.MustCompile(`^[\w./*-]+\.(go|json|csv|db|md|txt)$`)
)

// others are names that are not ours.
var others = map[string]bool{"github.com": true, "SetVersionTemplate": true}

// commands finds what a text asks go test for that no test answers to. A "(-run X)" is
// one in the folder of the text.
func (d declared) commands(text, here string) (wrong []string) {
	text = regexp.MustCompile(`\n//\s*`).ReplaceAllString(text, " ") // a comment may break a command's line
	for _, call := range goTest.FindAllString(text, -1) {
		dir := "."
		if !strings.HasPrefix(call, "go") {
			dir = here
		}
		if f := folder.FindString(call); f != "" {
			dir = strings.Trim(path.Clean(f), "/.")
			if f == "./..." || dir == "" {
				dir = "."
			}
			if _, err := os.Stat(filepath.Join(root, dir)); err != nil {
				wrong = append(wrong, call)
			}
		}
		for _, a := range asked.FindAllStringSubmatch(call, -1) {
			kind := map[string]string{"run": "Test", "bench": "Benchmark"}[a[1]]
			pattern := strings.Trim(a[2], "'")
			if pattern == "^$" || pattern == "X" {
				continue
			}
			for _, one := range strings.Split(pattern, "|") {
				one, _, _ = strings.Cut(one, "/")
				re, err := regexp.Compile(one)
				answers := func(n string) bool {
					return (strings.HasPrefix(n, kind) || kind == "Test" && strings.HasPrefix(n, "Fuzz")) && re.MatchString(n)
				}
				if err != nil || !slices.ContainsFunc(d.tests[dir], answers) {
					wrong = append(wrong, call+": "+one)
				}
			}
		}
	}
	return wrong
}

// Names of the program that README and DEVELOPERS.md speak of exist: files, names of
// Go, tests that a command asks for. So do the tests that a comment tells to run.
func TestDocsNameWhatThereIs(t *testing.T) {
	t.Parallel()
	d := declarations(t)
	var files []string
	for _, s := range sources(t) {
		files = append(files, path.Base(s.path))
	}
	exists := func(name string) bool {
		found, err := filepath.Glob(filepath.Join(root, strings.TrimSuffix(name, "...")))
		return err == nil && len(found) > 0
	}
	for _, page := range []string{"README.md", "DEVELOPERS.md"} {
		raw := must.Get(os.ReadFile(filepath.Join(root, page))).In(t)
		text := string(raw)
		for _, w := range d.commands(text, ".") {
			t.Errorf("%s: no such test: %s", page, w)
		}
		checked := 0
		for _, name := range inTestdata.FindAllString(text, -1) {
			if !exists(name) {
				t.Errorf("%s: no such file: %s", page, name)
			}
			checked++
		}
		for _, m := range quoted.FindAllStringSubmatch(text, -1) {
			name := strings.TrimSuffix(m[1], "()")
			top, _, deep := strings.Cut(name, "/")
			switch {
			case strings.ContainsAny(name, " $~"), !deep && strings.ContainsAny(name, "<>"):
				continue
			case deep && slices.Contains([]string{"cmd", "tui", "session", "cooling", "store", "testdata", ".ci"}, top):
				if !exists(name) {
					t.Errorf("%s: no such file: %s", page, name)
				}
			case !deep && isFile.MatchString(name):
				if page == "DEVELOPERS.md" && strings.HasSuffix(name, ".go") && !slices.Contains(files, name) {
					t.Errorf("%s: no such file: %s", page, name)
				}
			case page == "DEVELOPERS.md" && goName.MatchString(name) && (inCamel.MatchString(name) || strings.Contains(name, ".")):
				if !d.names[name] && !others[name] {
					t.Errorf("%s: no such name: %s", page, name)
				}
			default:
				continue
			}
			checked++
		}
		t.Logf("%s: %d names", page, checked)
		if page == "DEVELOPERS.md" && checked < 50 {
			t.Errorf("only %d names were looked for in it", checked)
		}
	}
	for _, s := range sources(t) {
		for _, group := range s.file.Comments {
			var lines []string
			for _, c := range group.List {
				lines = append(lines, c.Text)
			}
			for _, w := range d.commands("\n"+strings.Join(lines, "\n"), s.dir()) {
				t.Errorf("%s: no such test: %s", s.pos.Position(group.Pos()), w)
			}
		}
	}
}

// Exported names have a comment that begins with the name; in a group the group's will do,
// with one behind each type. Methods that the standard library or the router of the screens
// calls need none, nor, but for the core and the store, those of a type that is its room's own.
func TestExportedNamesHaveComments(t *testing.T) {
	known := []string{"String", "Error", "Unwrap", "MarshalText", "UnmarshalText", "MarshalJSON", "UnmarshalJSON",
		"Init", "Update", "View", "Place", "SetSize", "Title", "Keys", "Typing", "Read"}
	for _, s := range sources(t) {
		if s.isTest() && s.dir() != "session/sessiontest" || !slices.Contains([]string{"session", "cooling", "store", "tui", "cmd"}, s.folder()) {
			continue
		}
		core := s.folder() != "tui" && s.folder() != "cmd"
		need := func(name *ast.Ident, docs ...*ast.CommentGroup) {
			for _, d := range docs {
				if text := article.ReplaceAllString(d.Text(), ""); strings.HasPrefix(text, name.Name) && !inWord.MatchString(text[len(name.Name):]) {
					return
				}
			}
			if name.IsExported() {
				t.Errorf("%s: no comment that begins with %s", s.pos.Position(name.Pos()), name.Name)
			}
		}
		for _, decl := range s.file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok {
				if f.Recv == nil || !slices.Contains(known, f.Name.Name) && (core || exportedReceiver(f)) {
					need(f.Name, f.Doc)
				}
				continue
			}
			d := decl.(*ast.GenDecl)
			for _, spec := range d.Specs {
				switch spec := spec.(type) {
				case *ast.TypeSpec:
					if d.Doc == nil || spec.Comment == nil {
						need(spec.Name, spec.Doc, d.Doc)
					}
				case *ast.ValueSpec:
					if spec.Names[0].IsExported() && spec.Doc == nil && d.Doc == nil && spec.Comment == nil {
						t.Errorf("%s: %s has no comment", s.pos.Position(spec.Pos()), spec.Names[0].Name)
					}
				}
			}
		}
	}
}

func exportedReceiver(f *ast.FuncDecl) bool {
	t := f.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	id, ok := t.(*ast.Ident)
	return ok && id.IsExported()
}

var (
	article = regexp.MustCompile(`^(A|An) `)
	inWord  = regexp.MustCompile(`^\w`)
)
