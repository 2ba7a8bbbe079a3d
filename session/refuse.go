package session

// refusal is a sentence for the person around a cause for the program.
type refusal struct {
	text  string
	cause error
}

func (r refusal) Error() string { return r.text }

func (r refusal) Unwrap() error { return r.cause }
