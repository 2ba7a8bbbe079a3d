package draw

// Span is some lines of the screen.
type Span struct{ Top, Height int }

// Has says that line y is one of them.
func (s Span) Has(y int) bool { return y >= s.Top && y < s.Top+s.Height }
