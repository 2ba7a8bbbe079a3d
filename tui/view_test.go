package tui

import (
	"fmt"
	"io"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
)

// TestViewWritesNothing: a frame is drawn of what there is, and drawing it changes
// neither a screen nor what all of them share.
func TestViewWritesNothing(t *testing.T) {
	t.Parallel()
	for i, x := range storybook() {
		if !long.Turn(i, 5) {
			continue
		}
		t.Run(x.name, func(t *testing.T) {
			a := x.open(t)
			a.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
			for j, sz := range [][2]int{{40, 12}, {120, 40}} {
				if !long.Turn(i/5+j, 2) {
					continue
				}
				a.top().SetSize(sz[0], sz[1]-base.TopLines) // not through Update: nothing is placed yet
				before := written(a)
				first := a.View()
				if at := firstOther(before, written(a)); at != "" {
					t.Fatalf("%dx%d: View writes: %s", sz[0], sz[1], at)
				}
				if a.View() != first {
					t.Fatalf("%dx%d: the second View is another one", sz[0], sz[1])
				}
			}
		})
	}
}

func firstOther(before, after []string) string {
	for i := range min(len(before), len(after)) {
		if before[i] != after[i] {
			return before[i] + " is now " + after[i]
		}
	}
	if len(before) != len(after) {
		return fmt.Sprintf("%d values are now %d", len(before), len(after))
	}
	return ""
}

// written is every value that can be reached from the program, a line each. What is
// not ours to hold still is left out: fields of forms as the library has them,
// styles, the writer and the fakes of the tests.
func written(a *App) []string {
	var out []string
	seen := map[uintptr]bool{}
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer:
			if v.IsNil() || seen[v.Pointer()] {
				out = append(out, fmt.Sprint(path, " ", v.IsNil()))
				return
			}
			seen[v.Pointer()] = true
			walk(path, v.Elem())
		case reflect.Interface:
			if !v.IsNil() {
				walk(path, v.Elem())
			}
		case reflect.Struct:
			if name := v.Type().String(); slices.ContainsFunc([]string{"lipgloss.", "textinput.", "sync.", "time.Loc", "theme.", "tuitest.", "keep.", "testing."}, func(part string) bool { return strings.HasPrefix(name, part) }) {
				return
			}
			for i := range v.NumField() {
				walk(path+"."+v.Type().Field(i).Name, v.Field(i))
			}
		case reflect.Slice, reflect.Array:
			out = append(out, fmt.Sprint(path, " len ", v.Len()))
			for i := range v.Len() {
				walk(fmt.Sprintf("%s[%d]", path, i), v.Index(i))
			}
		case reflect.Map:
			keys := v.MapKeys()
			slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
			for _, k := range keys {
				walk(fmt.Sprintf("%s[%v]", path, k), v.MapIndex(k))
			}
		case reflect.Func, reflect.Chan, reflect.UnsafePointer:
		default:
			out = append(out, fmt.Sprint(path, " ", v))
		}
	}
	walk("App", reflect.ValueOf(a))
	return out
}

// TestThemeMsg: once the terminal has said that its ground is light nothing is drawn for a dark one.
func TestThemeMsg(t *testing.T) {
	t.Parallel()
	dark := regexp.MustCompile(`[34]8;5;(252|223|247|215|159|213|228|238)[;m]`)
	for i, x := range storybook() {
		if x.name != "day-curve" && x.name != "day-washing" && !long.Turn(i, 16) {
			continue
		}
		a := x.open(t)
		a.Update(ThemeMsg(theme.New(io.Discard, theme.Options{})))
		a.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
		before := a.View()
		a.Update(ThemeMsg(theme.New(io.Discard, theme.Options{Light: true})))
		if at := dark.FindString(a.View()); at != "" || !dark.MatchString(before) {
			t.Errorf("%s: %q is left of the dark theme, or nothing was dark", x.name, at)
		}
	}
}
