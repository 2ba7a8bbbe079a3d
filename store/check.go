package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Report says what of a file is whole, and what is not.
type Report struct {
	Kit                             bool
	Fleeces, Methods, Days, Entries int // that are whole; entries are those of days

	// Harm are sentences on what is not, each with what can be saved of it. None: all
	// is as it was written.
	Harm []string

	days  map[shed.DayID]bool // that are not whole
	units measure.System      // of the kit: dates are as they are written in these
}

// Whole says that all is as it was written.
func (rep Report) Whole() bool { return len(rep.Harm) == 0 }

func (rep *Report) harm(format string, args ...any) {
	rep.Harm = append(rep.Harm, measure.CleanText(fmt.Sprintf(format, args...), 400))
}

// Check reads everything that the file at path keeps, every page, value and sum, and
// says what is whole. It only reads: it needs no right to write, waits for nobody, and
// may run while a window writes. It neither panics nor hangs, whatever lies there.
//
// Errors: for a file that cannot be read at all or is none of ours: those of os.Open,
// ErrDamaged, ErrNewer.
func Check(path string) (Report, error) {
	content, h, err := snapshot(path)
	if err != nil {
		return Report{}, err
	}
	return checkContent(path, content, h, true)
}

// looksAgain is how often a file is read again that is written to meanwhile.
const looksAgain = 20

// snapshot is the content of a file as it stood at one moment. Pages of one state are
// used again only for the second state after it, so what was read is of one state if
// none came in between.
func snapshot(path string) (content []byte, h header, err error) {
	for range looksAgain {
		var changed bool
		if content, h, changed, err = readOnce(path); err == nil && !changed || errors.Is(err, ErrNotWritable) {
			return content, h, err
		}
		time.Sleep(lookAgain)
	}
	if err == nil {
		err = inUse(path, errors.New("it is written to all the time"))
	}
	return nil, h, err
}

// readOnce is the content of a file as far as its newest header says it goes; changed says
// that it was written to meanwhile.
func readOnce(path string) (content []byte, h header, changed bool, err error) {
	f, err := openRegular(path)
	if err != nil {
		if !errors.Is(err, ErrDamaged) {
			err = notReadable(path, err)
		}
		return nil, h, false, err
	}
	defer func() { _ = f.Close() }() // only read
	info, err := f.Stat()
	if err != nil {
		return nil, h, false, notReadable(path, err)
	}
	if h, err = newestHeader(f); err != nil {
		return nil, h, false, damaged(path, "its first page does not read", err)
	}
	size := uint64(info.Size())
	if pages := size / uint64(h.pageSize); h.pages < pages {
		size = h.pages * uint64(h.pageSize)
	}
	content = make([]byte, size)
	n, err := io.ReadFull(f, content)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, h, false, notReadable(path, err)
	}
	after, err := newestHeader(f)
	return content[:n], h, err != nil || after.txid != h.txid, nil
}

// openRegular opens a file to read it; a device or a pipe, which may have no end, it does not.
func openRegular(path string) (*os.File, error) {
	info, err := os.Stat(path) // first: to open a pipe waits for who writes
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, isFolder(path, nil)
	case !info.Mode().IsRegular():
		return nil, notAFile(path)
	}
	return os.Open(path)
}

// checkContent is Check of what was read of a file; without decode the sums alone say
// whether a value is whole.
func checkContent(path string, content []byte, h header, decode bool) (Report, error) {
	in := bytes.NewReader(content)
	rep := Report{days: map[shed.DayID]bool{}}
	if size := uint64(len(content)) / uint64(h.pageSize); h.pages > size {
		rep.harm("the end of the file is missing: %d of %d pages are there", size, h.pages)
		h.pages = size
	}
	r := recordIn(in, h)
	version, err := r.layout()
	switch {
	case err != nil:
		return rep, damaged(path, "its first part does not read", err)
	case version > uint64(len(migrations)):
		return rep, newer(path, version, uint64(len(migrations)))
	}
	rep.headers(in, h)
	rep.pages(r, in, h)
	rep.values(r, decode)
	return rep, nil
}

// headers looks at both headers. The older one matters as well: it is what a file
// goes back to whose newer one is lost, and then the last deed is lost too.
func (rep *Report) headers(in *bytes.Reader, h header) {
	a, errA := readHeader(in, 0)
	b, errB := readHeader(in, int64(h.pageSize))
	switch {
	case errA != nil || errB != nil:
		rep.harm("one of the file's two headers does not read: what was saved last may be missing")
	case a.txid == b.txid:
		rep.harm("the file's two headers are the same one: what was saved last may be missing")
	}
}

// pages goes through all pages, and compares them with the list of free ones: what is
// in use and on the list would be written over, what is neither is lost.
func (rep *Report) pages(r record, in *bytes.Reader, h header) {
	free, takes, err := readFreelist(in, h)
	if err != nil {
		rep.harm("the list of free pages does not read (%v): nothing more can be saved in this file", err)
	}
	used := make([]bool, h.pages)
	take := func(first, n uint64) error {
		for i := first; i < first+n; i++ {
			if used[i] {
				return fmt.Errorf("page %d is used twice", i)
			}
			used[i] = true
		}
		return nil
	}
	if err == nil {
		for _, page := range free {
			used[page] = true
		}
		err = take(h.freelist, takes)
		if err != nil {
			rep.harm("the list of free pages is wrong: %v", err)
		}
	}
	listed := err == nil
	r.visit = take
	whole := true
	r.allPages(func(in string, err error) {
		rep.harm("a page of %s does not read: %v", in, err)
		whole = false
	})
	if lost := slices.Index(used[2:], false); whole && listed && lost >= 0 {
		rep.harm("the list of free pages is wrong: page %d is neither in use nor free", lost+2)
	}
}

// values looks at each value, its sum and the totals; with decode also at whether it
// reads.
func (rep *Report) values(r record, decode bool) {
	decode = decode || !r.summed
	for _, sh := range []shelf{fleeceShelf, methodShelf} {
		n := rep.part(r, sh.part, decode, func(k []byte) string {
			at, _ := number(k)
			return fmt.Sprintf("%s %s", sh.what, sh.id(at))
		})
		if sh.part == fleecesPart {
			rep.Fleeces = n
		} else {
			rep.Methods = n
		}
	}
	rep.part(r, kitPart, decode, func(k []byte) string {
		if string(k) == string(kitKey) {
			return "the kit"
		}
		return "how alarms reach you"
	})
	kit, hasKit, err := r.kit()
	if rep.Kit = hasKit && err == nil; rep.Kit {
		rep.units = kit.Units
	}
	rep.part(r, metaPart, decode, func(k []byte) string {
		if string(k) == string(openKey) {
			return openNote
		}
		return fmt.Sprintf("the note \"%s\"", k)
	})
	rep.part(r, printedPart, decode, func([]byte) string { return "a printed tag" })
	rep.journal(r, decode)
}

// part looks at the values of a part and counts those that are whole.
func (rep *Report) part(r record, name string, decode bool, called func(k []byte) string) (whole int) {
	t, ok, err := r.part(name)
	if err != nil || !ok {
		if err != nil || name != printedPart {
			rep.harm("the part \"%s\" is missing", name)
		} else {
			rep.total(r, name, 0) // nothing was printed yet
		}
		return 0
	}
	total := countSum(name, t.seq)
	known := true // what the total should be
	_ = r.walk(t, false, func(it item) error {
		if name == metaPart && it.bucket && string(it.key) == printedPart {
			return nil
		}
		v, err := r.opened(name, it)
		if err == nil && decode && !bare(name, it.key) {
			err = reads(name, it.key, v)
		}
		if err != nil {
			rep.harm("%s does not read: %v", called(it.key), err)
			known = false
			return nil
		}
		whole++
		if bare(name, it.key) {
			total += sumOf(name, it.key, v)
		} else if _, sum := split(it.value); r.summed {
			total += sum
		}
		return nil
	}, func(err error) error {
		if !decode { // else told with the pages
			rep.harm("some of the part \"%s\" does not read: %v", name, err)
		}
		known = false
		return nil
	})
	if known {
		rep.total(r, name, total)
	}
	return whole
}

// total compares what is there of a part with what should be.
func (rep *Report) total(r record, name string, is uint64) {
	if !r.summed {
		return
	}
	sums, ok, err := r.part(sumsPart)
	var it item
	if ok && err == nil {
		it, _, err = r.find(sums, []byte(name))
	}
	if should, _ := number(it.value); err != nil || should != is {
		rep.harm("in the part \"%s\" something is missing, is there twice, or is older than what was saved last: each that is there is whole", name)
	}
}

// journal looks at the days: their lines in the list, and their entries.
func (rep *Report) journal(r record, decode bool) {
	lines := map[shed.DayID]ledger.Summary{}
	var order []shed.DayID
	rep.part(r, daysPart, decode, func(k []byte) string {
		n, _ := number(k)
		rep.days[shed.DayID(n)] = true
		return fmt.Sprintf("the line of wash day %d in the list of days", n)
	})
	_ = r.each(daysPart, false, func(k, v []byte, err error) error {
		var sum ledger.Summary
		if n, ok := number(k); ok && err == nil && json.Unmarshal(v, &sum) == nil {
			lines[shed.DayID(n)], order = sum, append(order, shed.DayID(n))
		}
		return nil
	})
	all, ok, err := r.part(journalPart)
	if err != nil || !ok {
		rep.harm("the part \"%s\" is missing", journalPart)
		return
	}
	seen := map[shed.DayID]bool{}
	total, known := countSum(journalPart, all.seq), true
	_ = r.walk(all, false, func(it item) error {
		n, isDay := number(it.key)
		id := shed.DayID(n)
		t, treeErr := it.tree()
		if isDay = isDay && treeErr == nil; !isDay {
			rep.harm("a wash day does not read: its place in the journal holds something else")
			known = false
			return nil
		}
		seen[id] = true
		if t.seq != 0 {
			total += sumOf(journalPart, it.key, key(t.seq))
		}
		if _, ok := lines[id]; !ok && !rep.days[id] {
			rep.days[id] = true
			rep.harm("%s is missing from the list of days; its entries are there", rep.dayName(id, lines[id]))
		}
		rep.day(r, id, lines[id], it.key, t, decode)
		return nil
	}, func(error) error { known = false; return nil })
	for _, id := range order {
		if !seen[id] {
			rep.days[id] = true
			rep.harm("%s has lost its entries; its line in the list of days is there", rep.dayName(id, lines[id]))
		}
	}
	if known {
		rep.total(r, journalPart, total)
	}
	for id := range seen {
		if !rep.days[id] {
			rep.Days++
		}
	}
}

// day looks at the entries of one day.
func (rep *Report) day(r record, id shed.DayID, line ledger.Summary, k []byte, t tree, decode bool) {
	whole, harmed, firstHarmed := 0, 0, uint64(0)
	var why error
	var last []byte // the last whole entry before the harm
	_ = r.chain(k, t, func(n uint64, v []byte, err error) error {
		if err == nil && decode {
			_, err = decodeEvent(id, n, v)
		}
		if err == nil {
			whole++
			if harmed == 0 {
				last = v
			}
			return nil
		}
		if harmed++; harmed == 1 {
			firstHarmed, why = n, err
		}
		return nil
	})
	rep.Entries += whole
	if harmed == 0 {
		return
	}
	rep.days[id] = true
	until := "Not even its beginning is whole"
	var e session.Recorded
	if json.Unmarshal(last, &e) == nil {
		until = "It is whole until " + rep.units.Moment(e.At.Local(), "15:04 on 2 January 2006")
	}
	not := "1 is"
	if harmed > 1 {
		not = fmt.Sprintf("%d are", harmed)
	}
	rep.harm("%s: entry %d does not read (%v); %d of its entries are whole, %s not. %s", rep.dayName(id, line), firstHarmed, cause(why), whole, not, until)
}

// cause is why a value does not read, without the words about which it is.
func cause(err error) error {
	var e *Error
	if errors.As(err, &e) && e.cause != nil {
		return e.cause
	}
	return err
}

// dayName is a day as a person knows it.
func (rep *Report) dayName(id shed.DayID, line ledger.Summary) string {
	name := fmt.Sprintf("wash day %d", id)
	if !line.StartedAt.IsZero() {
		name += ", of " + rep.units.Moment(line.WashedOn().Local(), "2 January 2006")
	}
	if len(line.Fleeces) > 0 {
		name += " (" + strings.Join(line.Fleeces, "; ") + ")"
	}
	return name
}
