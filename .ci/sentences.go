//go:build ignore

// Sentences lists what the program can say, for whoever reads it with a native ear:
//
//	go run .ci/sentences.go [FOLDER...]
//
// A line is file:line: sentence; … stands for what is put in. Literals with a space and a letter
// count, pieces that are added are one sentence. Left out are tests and what never reaches a
// screen or a paper: patterns, tags of fields, panics.
package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
)

var (
	verbs      = regexp.MustCompile(`%[-+# 0-9.*]*[a-zA-Z]`)
	isSentence = regexp.MustCompile(`\pL.* |[ ].*\pL`)
	forTests   = regexp.MustCompile(`_test\.go$|session/(long|sessiontest)/|tui/tuitest/|soundtest/|/\.`)
	unheard    = map[string]bool{"panic": true, "MustCompile": true, "CutPrefix": true, "CutSuffix": true, "HasPrefix": true, "HasSuffix": true, "Contains": true, "Getenv": true}
)

func main() {
	folders := os.Args[1:]
	if len(folders) == 0 {
		folders = []string{"session", "tui", "cmd"}
	}
	n := 0
	for _, folder := range folders {
		err := filepath.WalkDir(folder, func(path string, _ fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || forTests.MatchString(filepath.ToSlash(path)) {
				return err
			}
			pos := token.NewFileSet()
			file, err := parser.ParseFile(pos, path, nil, 0)
			if err != nil {
				return err
			}
			ast.Inspect(file, func(node ast.Node) bool {
				text := ""
				switch x := node.(type) {
				case *ast.ImportSpec, *ast.Field:
					_, isField := node.(*ast.Field)
					return isField && x.(*ast.Field).Tag == nil
				case *ast.CallExpr:
					return !unheard[calls(x.Fun)]
				case *ast.BinaryExpr:
					if text = said(x); text == "" {
						return true
					}
				case *ast.BasicLit:
					text = said(x)
				default:
					return true
				}
				if isSentence.MatchString(verbs.ReplaceAllString(text, "")) {
					fmt.Printf("%s: %s\n", pos.Position(node.Pos()), strings.ReplaceAll(text, "\n", " / "))
					n++
				}
				return false
			})
			return nil
		})
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	fmt.Fprintln(os.Stderr, n, "sentences")
}

// calls is the name of what is called.
func calls(f ast.Expr) string {
	switch x := f.(type) {
	case *ast.Ident:
		return x.Name
	case *ast.SelectorExpr:
		return x.Sel.Name
	}
	return ""
}

// said is a literal, or several that are added; "" where there is none.
func said(e ast.Expr) string {
	switch x := e.(type) {
	case *ast.BasicLit:
		if x.Kind == token.STRING {
			text, _ := strconv.Unquote(x.Value)
			return text
		}
	case *ast.BinaryExpr:
		if a, b := said(x.X), said(x.Y); x.Op == token.ADD && a+b != "" {
			if a == "" {
				a = "…"
			} else if b == "" {
				b = "…"
			}
			return a + b
		}
	}
	return ""
}
