package session_test

import (
	"go/ast"
	"go/token"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// namesKey are the ways in which a sentence names a key of the keyboard.
var namesKey = []*regexp.Regexp{
	regexp.MustCompile(`\b(Enter|Esc|Space|Tab|Backspace|Ctrl|F1)\b`),
	regexp.MustCompile(`(?i)\b(press|hit|type) [a-z.?] `),
	regexp.MustCompile(`(?i)\b(a|the|this|that|same|which|any) keys?\b`),
	regexp.MustCompile(`(^|[:;,.(] ?|\b(or|and|then|with) )[b-hj-z] ([a-z]+s|again)\b`), // "b empties it"
	regexp.MustCompile("`[^ ]`"),
}

func keyIn(text string) bool {
	return slices.ContainsFunc(namesKey, func(x *regexp.Regexp) bool { return x.MatchString(text) })
}

// TestCoreNamesNoKey: which key does what is for the screen to say, and a command has
// none.
func TestCoreNamesNoKey(t *testing.T) {
	for _, text := range []string{
		"look again. Right? Press Enter again", "first, or b empties it for a fresh fill", "b empties it: then %s", "wash it again, b fills this bath once more",
		"nobody can tell how warm %s is: r takes a reading", "best: b empties it", "s again skips it", "press u to undo", "the same key again", "press `n`",
	} {
		if !keyIn(text) {
			t.Errorf("%q names a key, and nobody notices", text)
		}
	}
	for _, text := range []string{"press it gently, never rub", "%d s starts from %d s on", "a jug's mark of %s", "type b1"} {
		if keyIn(text) {
			t.Errorf("%q names no key", text)
		}
	}
	for _, s := range sources(t) {
		if s.isTest() || s.folder() != "session" {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING && keyIn(unquoted(l)) {
				t.Errorf("%s: %s names a key", s.pos.Position(l.Pos()), l.Value)
			}
			return true
		})
	}
}

func unquoted(l *ast.BasicLit) string {
	text, err := strconv.Unquote(l.Value)
	if err != nil {
		return l.Value
	}
	return text
}

// takesApart are the functions that test a text, or take it to pieces.
var takesApart = []string{"HasPrefix", "HasSuffix", "TrimPrefix", "TrimSuffix", "Contains", "ContainsAny", "Index", "IndexAny", "LastIndex",
	"Cut", "CutPrefix", "CutSuffix", "Replace", "ReplaceAll", "Split", "SplitN", "SplitSeq"}

// mayTakeApart are the functions outside the core that take a text apart, by what it is.
var mayTakeApart = map[string][]string{
	"what a person typed": {"tui/form/fields.go HourField", "tui/gear/kitsupply.go", "tui/gear/kitsupply.go ReadTrays", "tui/form/hours.go ReadHours",
		"tui/past/finder.go found", "cmd/tubside/yield.go ask", "cmd/tubside/along.go Ready", "tui/washday/breaks.go askBreak", "cmd/tubside/forecast_read.go otherSeparator", "tui/form/times.go Moment", "tui/form/times.go weekdayOf", "cmd/tubside/tags.go roll",
		"cmd/tubside/exchange/cards.go Cards", "cmd/tubside/exchange/cards.go unitOf", "cmd/tubside/exchange/cards.go card"},
	"a name":                           {"tui/gear/methods.go freeName"},
	"a line that is broken or spelled": {"tui/washday/band.go brokenLine", "tui/washday/band.go capitals", "tui/washday/inspect.go bandInFull", "tui/draw/fit.go unparted", "cmd/tubside/quantity.go inUnits", "cmd/tubside/quantity.go ownExamples", "tui/form/hours.go HoursText"},
	"what the machine or another program says": {"tui/theme/theme.go of", "cmd/tubside/options.go plainTerminal", "cmd/tubside/options.go lightTerminal", "cmd/tubside/ground.go Read", "cmd/tubside/ground.go lightGround", "cmd/tubside/root.go localUnits",
		"cmd/tubside/reach/codes.go field", "cmd/tubside/sound/helper_linux.go watch", "cmd/tubside/sound/output_linux.go headphones", "cmd/tubside/sound/player.go begin", "cmd/tubside/sound/server_linux.go places",
		"cmd/tubside/child/child.go Look"},
}

// TestScreensTakeNoSentenceApart: what a screen or a command has to know of a sentence is
// a field beside it.
func TestScreensTakeNoSentenceApart(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range sources(t) {
		if s.isTest() || s.folder() != "tui" && s.folder() != "cmd" {
			continue
		}
		for _, decl := range s.file.Decls {
			at := s.path
			if f, ok := decl.(*ast.FuncDecl); ok {
				at += " " + f.Name.Name
			}
			ast.Inspect(decl, func(n ast.Node) bool {
				if takesTextApart(n) && !seen[at] {
					seen[at] = true
					if !mayTake(at) {
						t.Errorf("%s takes a text apart: %s", s.pos.Position(n.Pos()), at)
					}
				}
				return true
			})
		}
	}
	for _, list := range mayTakeApart {
		for _, at := range list {
			if !seen[at] {
				t.Errorf("%s takes nothing apart any more", at)
			}
		}
	}
}

func mayTake(at string) bool {
	for _, list := range mayTakeApart {
		if slices.Contains(list, at) {
			return true
		}
	}
	return false
}

// takesTextApart says that a call tests or divides a text by more than its white space, or
// that a comparison is with a literal of more than one word.
func takesTextApart(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.CallExpr:
		f, ok := n.Fun.(*ast.SelectorExpr)
		if !ok || len(n.Args) < 2 || !slices.Contains(takesApart, f.Sel.Name) {
			return false
		}
		if x, ok := f.X.(*ast.Ident); !ok || x.Name != "strings" {
			return false
		}
		l, ok := n.Args[1].(*ast.BasicLit)
		return !ok || strings.TrimSpace(unquoted(l)) != ""
	case *ast.BinaryExpr:
		return (n.Op == token.EQL || n.Op == token.NEQ) && (manyWords(n.X) || manyWords(n.Y))
	}
	return false
}

func manyWords(e ast.Expr) bool {
	l, ok := e.(*ast.BasicLit)
	return ok && l.Kind == token.STRING && len(strings.Fields(unquoted(l))) > 1
}

// TestOnePercentSign: "49 %" or "49%" is as the person writes it, so figures are given theirs by
// measure.System.Percent. The room of the weights has no units, nor has the sound.
func TestOnePercentSign(t *testing.T) {
	byHand := regexp.MustCompile(`%[-+.0-9]*[df] ?%%`)
	for _, s := range sources(t) {
		if s.isTest() || s.dir() == "session/yield" || strings.Contains(s.path, "cmd/tubside/sound") {
			continue
		}
		ast.Inspect(s.file, func(n ast.Node) bool {
			if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING && byHand.MatchString(l.Value) {
				t.Errorf("%s: %s: use Percent", s.pos.Position(l.Pos()), l.Value)
			}
			return true
		})
	}
}
