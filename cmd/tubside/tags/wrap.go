package tags

import (
	"strings"
	"unicode"
)

// wrap breaks text into lines no wider than width by what measures it: between
// words, and within a word only where it is wider than a whole line.
func wrap(text string, width float64, measures func(string) float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && measures(line+" "+word) <= width {
			line += " " + word
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for measures(word) > width {
			head := fitting(word, width, measures)
			if head == word {
				break
			}
			out, word = append(out, head), word[len(head):]
		}
		line = word
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// fitting is the longest beginning of word that fits, one letter at least. A
// letter keeps the marks that belong to it.
func fitting(word string, width float64, measures func(string) float64) string {
	end := 0
	for i, r := range word {
		if i == 0 || unicode.Is(unicode.M, r) {
			continue
		}
		if end > 0 && measures(word[:i]) > width {
			return word[:end]
		}
		end = i
	}
	if end > 0 && measures(word) > width {
		return word[:end]
	}
	return word
}

// flow puts texts that may not be broken beside each other, as many to a line
// as fit.
func flow(texts []string, gap string, width float64, measures func(string) float64) []string {
	var out []string
	for _, t := range texts {
		if n := len(out); n > 0 && measures(out[n-1]+gap+t) <= width {
			out[n-1] += gap + t
			continue
		}
		out = append(out, t)
	}
	return out
}
