// Package form asks for figures and words, page by page, in the person's own units.
package form
