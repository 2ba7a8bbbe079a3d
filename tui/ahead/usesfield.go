package ahead

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// usesField asks what the clean fibre went into, and about more than there is: a wash may be
// missing from the record.
func usesField(e *base.Env, f *shed.Fleece, x *ledger.Entry) *form.Field {
	u := e.Kit.Units
	return form.CheckedField(u.Spell("Clean fibre used or sold"), "such as hat "+u.Mass(u.RoundMassG(120))+", sold half; empty if it is all there", PartWords(u, f.Uses), func(text string) error {
		if text == PartWords(u, f.Uses) {
			return nil
		}
		now := *x
		now.Fleece.Uses = nil
		var doubt error
		for _, one := range splitParts(measure.CleanText(text, 1000)) {
			use, err := readUse(u, one, e.Record.Days, &now)
			if err != nil && !base.Unlikely(err) {
				return err
			}
			if err != nil {
				doubt = err
			}
			now.Fleece.Uses = append(now.Fleece.Uses, use)
		}
		f.Uses = now.Fleece.Uses
		if usedG := f.UsedG(); x.DryG > 0 && usedG > x.DryG+0.5 {
			return shed.Unlikelyf("used or sold is %s in all, and its bags hold %s clean", u.Mass(usedG), u.Mass(x.DryG))
		}
		return doubt
	})
}

// AskUses asks what of a fleece was used, from one of its bags, by its code.
func AskUses(from base.Screen, e *base.Env, fleece, bag string) tea.Cmd {
	return e.WithRecord(from, func() tea.Cmd {
		all := ledger.Book(e.Record.Fleeces, e.Record.Days)
		i := slices.IndexFunc(all, func(x ledger.Entry) bool { return x.Fleece.ID == fleece })
		if i < 0 {
			e.Refuse(fmt.Errorf("its fleece isn't in the list any more"))
			return nil
		}
		f := all[i].Fleece
		p := &form.Page{About: "A part of this bag: half of " + bag, Fields: []*form.Field{usesField(e, &f, &all[i])}}
		return base.Push(form.NewForm(e, f.Title(), []*form.Page{p}, func() (tea.Cmd, error) {
			if _, err := SaveFleece(e, f); err != nil {
				return nil, err
			}
			e.Tell("%s is saved", f.Title())
			return base.Pop(), nil
		}))
	})
}

// readUse reads what fibre went into, and how much: a weight, or a share of what is left or of one bag. Without
// a name it was used.
func readUse(u measure.System, text string, days []ledger.Summary, x *ledger.Entry) (shed.FleecePart, error) {
	words := strings.Fields(text)
	for at := range words {
		g, ok, err := shareG(u, words[at:], days, x)
		if ok {
			name := strings.TrimRight(strings.Join(words[:at], " "), ":")
			if name == "" {
				name = "used"
			}
			return shed.FleecePart{Name: name, RawG: g}, err
		}
	}
	if g, err := u.ParseMassG(text); err == nil {
		return shed.FleecePart{Name: "used", RawG: g}, nil
	}
	return readPart(u, text)
}

// part is a word for a share as a part of one, 0 if it is none.
func part(word string) float64 {
	switch word {
	case "half", "1/2", "½":
		return 0.5
	case "third", "1/3":
		return 1.0 / 3
	case "quarter", "1/4", "¼":
		return 0.25
	case "2/3":
		return 2.0 / 3
	case "3/4", "¾":
		return 0.75
	case "all", "rest":
		return 1
	}
	return 0
}

// shareG is a share in grams, such as "half", "1/2 of 001J", "the rest of bag A1"; ok is false for any other words.
func shareG(u measure.System, words []string, days []ledger.Summary, x *ledger.Entry) (g float64, ok bool, err error) {
	share, bag := "", ""
	for _, w := range words {
		switch w = strings.ToLower(w); {
		case slices.Contains([]string{"a", "the", "of", "bag", "bags", "it"}, w):
		case share == "":
			share = w
		case bag == "":
			bag = w
		default:
			return 0, false, nil
		}
	}
	if _, err := u.ParseMassG("1 " + bag); part(share) == 0 || bag != "" && err == nil { // "1/2 lb" is a weight
		return 0, false, nil
	}
	ofG, n, first := x.CleanG(), 0, ""
	for i := range x.Batches {
		b := &x.Batches[i]
		if b.DryG <= 0 || b.Before || b.Out.Found&(session.BagEmpty|session.ThrownAway) != 0 {
			continue
		}
		codes := ledger.Codes(days, b.Day, &b.BatchRow)
		first = cmp.Or(first, codes[0])
		if slices.Contains(codes, strings.ToUpper(bag)) || strings.EqualFold(bag, b.ID) {
			ofG = b.DryG
			n++
		}
	}
	example := share + " of " + first
	switch g = part(share) * ofG; {
	case ofG <= 0:
		err = fmt.Errorf("no clean fibre is left by the record: type a weight, such as %s", u.Mass(u.RoundMassG(120)))
	case bag != "" && n != 1:
		err = fmt.Errorf("\"%s\" isn't one bag of this fleece: type its code, such as %s", bag, example)
	case bag == "" && x.Bags > 1:
		err = shed.Unlikelyf("%s of all that is left is %s; of one bag, type %s", share, u.Mass(g), example)
	}
	return g, true, err
}
