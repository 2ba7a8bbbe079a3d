package exchange

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// The kinds of refusal, for errors.Is; the text of each is a sentence.
var (
	// ErrForeign is a file that is no export of a journal.
	ErrForeign = errors.New("not an export of a tubside journal")
	// ErrTorn is an export that is not whole or has been damaged.
	ErrTorn = errors.New("damaged export")
	// ErrNewer is an export of a later version.
	ErrNewer = errors.New("export of a newer version")
)

type refusal struct {
	kind error
	text string
}

func (r refusal) Error() string { return r.text }

func (r refusal) Unwrap() error { return r.kind }

// Read reads an export of any version there has been. Nothing of it is trusted:
// what the values say is checked by store.Merge.
//
// Errors: ErrForeign, ErrTorn, ErrNewer, or what r returns, wrapped.
func Read(r io.Reader) (store.Contents, []store.DayContents, error) {
	in := bufio.NewReaderSize(r, 1<<16)
	if mark, err := in.Peek(3); err == nil && string(mark) == "\ufeff" { // some editors put it there
		_, _ = in.Discard(len(mark)) // it is in the buffer
	}
	m := &meter{from: in}
	rd := &reader{dec: json.NewDecoder(m), meter: m, seen: map[string]bool{}}
	err := rd.document()
	if err != nil {
		return store.Contents{}, nil, rd.explain(err)
	}
	return rd.c, rd.days, nil
}

// mostValue bounds what the decoder takes up for one value, bytes: the plan of the fullest
// day, with all notes, has less.
const mostValue = 4 << 20

var errTooLong = fmt.Errorf("one of its values has more than %d MB, and none of a wash day has", mostValue>>20)

// meter gives out no more than one value may have.
type meter struct {
	from io.Reader
	left int
}

func (m *meter) Read(b []byte) (int, error) {
	if m.left <= 0 {
		return 0, errTooLong
	}
	n, err := m.from.Read(b[:min(len(b), m.left)])
	m.left -= n
	return n, err
}

type reader struct {
	dec   *json.Decoder
	meter *meter
	seen  map[string]bool // parts of the document
	c     store.Contents
	days  []store.DayContents
}

func (rd *reader) decode(v any) error {
	rd.meter.left = mostValue
	return rd.dec.Decode(v)
}

func (rd *reader) token() (json.Token, error) {
	rd.meter.left = mostValue
	return rd.dec.Token()
}

func (rd *reader) more() bool {
	rd.meter.left = mostValue
	return rd.dec.More()
}

func (rd *reader) document() error {
	if err := rd.delim('{'); err != nil {
		return rd.foreign("it does not begin as one")
	}
	err := rd.members(rd.seen, func(name string) error {
		if name != "format" && name != "version" && !(rd.seen["format"] && rd.seen["version"]) {
			return rd.foreign(fmt.Sprintf("it begins with \"%s\" where its format and version should be named", measure.CleanText(name, 40)))
		}
		return rd.part(name)
	})
	if err != nil {
		return err
	}
	for _, name := range []string{"format", "version", "counted", "fleeces", "methods", "days"} {
		if !rd.seen[name] {
			if name == "format" || name == "version" {
				return rd.foreign("it does not name its format and version")
			}
			return rd.torn(fmt.Sprintf("its part \"%s\" is missing", name))
		}
	}
	if _, err := rd.token(); !errors.Is(err, io.EOF) {
		return rd.torn("something stands after its end")
	}
	return nil
}

// part reads one member of the document.
func (rd *reader) part(name string) error {
	switch name {
	case "format":
		var has string
		if err := rd.decode(&has); err != nil || has != format {
			return rd.foreign("its format is another one")
		}
	case "version":
		var has json.Number
		if err := rd.decode(&has); err != nil {
			return rd.foreign("its version is not a number")
		}
		switch n, err := has.Int64(); {
		case err != nil || n < 1:
			return rd.foreign(fmt.Sprintf("there is no version %s", measure.CleanText(has.String(), 20)))
		case n > version:
			return refusal{ErrNewer, fmt.Sprintf("the file is of version %d, this program reads versions up to %d: use the tubside that wrote it, or a newer one", n, version)}
		}
	case "counted":
		var text json.RawMessage
		if err := rd.decode(&text); err != nil {
			return err
		}
		var has struct{ Days, Fleeces, Methods uint64 }
		strict := json.NewDecoder(bytes.NewReader(text))
		strict.DisallowUnknownFields()
		if err := strict.Decode(&has); err != nil {
			return rd.torn(measure.CleanText(err.Error(), 100))
		}
		if most := max(has.Days, has.Fleeces, has.Methods); most > store.MostCounted {
			return rd.torn(fmt.Sprintf("it counts up to %d", most))
		}
		rd.c.LastDay, rd.c.LastFleece, rd.c.LastMethod = has.Days, has.Fleeces, has.Methods
	case "kit":
		return rd.decode(&rd.c.Kit)
	case "draft":
		return rd.decode(&rd.c.Draft)
	case "fleeces":
		return rd.values(&rd.c.Fleeces)
	case "methods":
		return rd.values(&rd.c.Methods)
	case "days":
		return rd.elements(rd.day)
	default:
		return rd.torn(fmt.Sprintf("its part \"%s\" is unknown", measure.CleanText(name, 40)))
	}
	return nil
}

func (rd *reader) day() error {
	if err := rd.delim('{'); err != nil {
		return err
	}
	var d store.DayContents
	seen := map[string]bool{}
	err := rd.members(seen, func(name string) error {
		switch name {
		case "summary":
			return rd.decode(&d.Summary)
		case "events":
			return rd.values(&d.Events)
		}
		return rd.torn(fmt.Sprintf("the part \"%s\" of a wash day is unknown", measure.CleanText(name, 40)))
	})
	if err != nil {
		return err
	}
	var sum struct {
		ID shed.DayID `json:"id"`
	}
	if !seen["summary"] || !seen["events"] {
		return rd.torn("a wash day lacks its summary or its events")
	}
	if err := json.Unmarshal(d.Summary, &sum); err != nil || sum.ID == 0 || sum.ID > store.MostCounted {
		return rd.torn("the summary of a wash day does not say which day it is")
	}
	d.ID = sum.ID
	rd.days = append(rd.days, d)
	return nil
}

// members goes through an object that has been begun, to its end.
func (rd *reader) members(seen map[string]bool, each func(name string) error) error {
	for rd.more() {
		t, err := rd.token()
		if err != nil {
			return err
		}
		name, ok := t.(string)
		if !ok || seen[name] {
			return rd.torn(fmt.Sprintf("the part \"%s\" comes twice", measure.CleanText(name, 40)))
		}
		if err := each(name); err != nil {
			return err
		}
		seen[name] = true
	}
	_, err := rd.token()
	return err
}

func (rd *reader) elements(each func() error) error {
	if err := rd.delim('['); err != nil {
		return err
	}
	for rd.more() {
		if err := each(); err != nil {
			return err
		}
	}
	_, err := rd.token()
	return err
}

func (rd *reader) values(into *[]json.RawMessage) error {
	return rd.elements(func() error {
		var v json.RawMessage
		if err := rd.decode(&v); err != nil {
			return err
		}
		*into = append(*into, v)
		return nil
	})
}

func (rd *reader) delim(want json.Delim) error {
	t, err := rd.token()
	if err != nil {
		return err
	}
	if d, ok := t.(json.Delim); !ok || d != want {
		return rd.torn(fmt.Sprintf("there should be a \"%s\"", want.String()))
	}
	return nil
}

func (rd *reader) foreign(why string) error {
	return refusal{ErrForeign, fmt.Sprintf("this is not an export of a tubside journal: %s. `tubside export --json FILE` makes one", why)}
}

func (rd *reader) torn(why string) error {
	return refusal{ErrTorn, fmt.Sprintf("the export is damaged near byte %d: %s. Copy it once more, or export it anew", rd.dec.InputOffset(), why)}
}

// explain turns the decoder's errors into sentences.
func (rd *reader) explain(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &refusal{}):
		return err
	case errors.Is(err, errTooLong):
		return rd.torn(err.Error())
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return rd.torn("it ends in the middle")
	case errors.As(err, &syntax), errors.As(err, &kind):
		return rd.torn(measure.CleanText(err.Error(), 100))
	}
	return fmt.Errorf("the export cannot be read: %w", err)
}
