package gear

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestMethodIsDrawn: a bath that soaks longer is wider, one that is warmer higher, in any room; a night
// leaves room for the others.
func TestMethodIsDrawn(t *testing.T) {
	k, th := tuitest.StoryKit(), theme.New(nil, theme.Options{NoColor: true})
	night := shed.BuiltInMethod()
	night.Steps[0].SoakMin = 12 * 60
	for _, m := range []shed.Method{shed.BuiltInMethod(), night} {
		for w := 40; w <= 200; w += 20 {
			for room := 0; room < 40; room += 3 {
				lines := MethodPicture(&th, &k, m.Steps, w, room)
				if lines == nil {
					if room >= leastMethod+4 {
						t.Errorf("%dx%d: nothing is drawn", w, room)
					}
					continue
				}
				high := len(lines) - 3
				for _, l := range lines {
					if len(lines) > room || ansi.StringWidthWc(l) > w {
						t.Fatalf("%dx%d: %d lines, %q", w, room, len(lines), l)
					}
				}
				foot := ansi.Strip(lines[high])
				wide, rows := map[string]int{}, map[string]int{}
				baths := strings.Split(strings.Join(strings.Fields(foot), " "), " ")
				for i, s := range m.Steps[:4] {
					if i >= len(baths) {
						t.Fatalf("%dx%d: %d baths of four:\n%s", w, room, len(baths), foot)
					}
					wide[s.Name] = ansi.StringWidthWc(baths[i])
					at := ansi.StringWidthWc(foot) // where it begins
					for from, n := 0, 0; from < len([]rune(foot)); from++ {
						if r := []rune(foot); r[from] != ' ' && (from == 0 || r[from-1] == ' ') {
							if n == i {
								at = from
								break
							}
							n++
						}
					}
					for _, l := range lines[1 : high+1] {
						if r := []rune(ansi.Strip(l)); at < len(r) && r[at] != ' ' {
							rows[s.Name]++
						}
					}
				}
				text := fmt.Sprintf("%dx%d:\n%s", w, room, ansi.Strip(strings.Join(lines, "\n")))
				if wide["hot wash"] <= wide["second rinse"] || wide["presoak"] < wide["hot wash"] || wide["presoak"] > w/2 {
					t.Errorf("wide %v, %s", wide, text)
				}
				if rows["hot wash"] != high || rows["first rinse"] > high || rows["presoak"] >= rows["first rinse"] {
					t.Errorf("rows %v of %d, %s", rows, high, text)
				}
			}
		}
	}
}
