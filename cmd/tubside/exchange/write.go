package exchange

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"

	"fleece.example/tubside/store"
)

// WriteJSON writes everything that a store holds, one value a line. It is
// written as it is read: no more than a day at a time is in memory.
//
// Errors: those of Source, or what w returns, wrapped.
func WriteJSON(w io.Writer, from Source) error {
	out := &jsonWriter{w: bufio.NewWriterSize(w, 1<<16)}
	days := 0
	err := from.Read(func(c store.Contents) error {
		written := version
		if c.Draft == nil { // what was there before reads it too
			written = 1
		}
		out.text(fmt.Sprintf("{\"format\":%q,\"version\":%d,\n\"counted\":{\"days\":%d,\"fleeces\":%d,\"methods\":%d}",
			format, written, c.LastDay, c.LastFleece, c.LastMethod))
		if c.Kit != nil {
			out.text(",\n\"kit\":")
			out.value(c.Kit)
		}
		out.list("fleeces", c.Fleeces)
		out.list("methods", c.Methods)
		if c.Draft != nil {
			out.text(",\n\"draft\":")
			out.value(c.Draft)
		}
		out.text(",\n\"days\":[")
		return out.err
	}, func(d store.DayContents) error {
		if days++; days > 1 {
			out.text(",")
		}
		out.text("\n{\"summary\":")
		out.value(d.Summary)
		out.list("events", d.Events)
		out.text("}")
		return out.err
	})
	if err == nil {
		out.text("\n]}\n")
		err = out.flush()
	}
	return err
}

// jsonWriter keeps the first error, so that it need not be asked for each time.
type jsonWriter struct {
	w   *bufio.Writer
	err error
}

func (o *jsonWriter) text(s string) {
	if o.err == nil {
		_, err := o.w.WriteString(s)
		o.keep(err)
	}
}

func (o *jsonWriter) value(v json.RawMessage) {
	if o.err == nil {
		_, err := o.w.Write(v)
		o.keep(err)
	}
}

func (o *jsonWriter) list(name string, values []json.RawMessage) {
	o.text(",\n\"" + name + "\":[")
	for i, v := range values {
		if i > 0 {
			o.text(",")
		}
		o.text("\n")
		o.value(v)
	}
	o.text("]")
}

func (o *jsonWriter) flush() error {
	if o.err == nil {
		o.keep(o.w.Flush())
	}
	return o.err
}

func (o *jsonWriter) keep(err error) {
	if err != nil {
		o.err = fmt.Errorf("the export cannot be written: %w", err)
	}
}
