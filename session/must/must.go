// Package must has a test go on with what a call returned, or stop with its error. Only tests
// import it.
package must

// T is a test, a benchmark or a draw of rapid's.
type T interface {
	Helper()
	Fatal(args ...any)
}

// Do stops the test where there is an error.
func Do(t T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Got is what a call returned, with its error.
type Got[V any] struct {
	value V
	err   error
}

// Get takes what a call returns; In says in which test: must.Get(Open(path)).In(t).
func Get[V any](v V, err error) Got[V] { return Got[V]{v, err} }

// In is what was got; an error stops the test.
func (g Got[V]) In(t T) V {
	t.Helper()
	Do(t, g.err)
	return g.value
}

// Two are what a call returned, with its error.
type Two[V, W any] struct {
	first  V
	second W
	err    error
}

// Get2 is Get for a call that returns two, as in must.Get2(OpenDay()).In(t).
func Get2[V, W any](v V, w W, err error) Two[V, W] { return Two[V, W]{v, w, err} }

// In are the two that were got; an error stops the test.
func (g Two[V, W]) In(t T) (V, W) {
	t.Helper()
	Do(t, g.err)
	return g.first, g.second
}
