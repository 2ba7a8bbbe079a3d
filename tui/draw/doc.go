// Package draw cuts, wraps and words lines of text; it knows no screen.
package draw
