package draw

// Span is some lines of the screen.
type Span struct{ Top, Height int }

func (s Span) Has(y int) bool { return y >= s.Top && y < s.Top+s.Height }
