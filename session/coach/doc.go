// Package coach says in words what to do next, tub by tub and across all of them, with
// the figures and the cautions that the deed needs.
package coach
