package store

import (
	"encoding/json"
	"errors"
	"slices"
	"time"

	"fleece.example/tubside/session/shed"
)

// ruling says which of two records of one thing was put right later.
type ruling int

const (
	neither ruling = iota // they are two things, or nothing says which
	isHere
	cameIn
)

// newerOf compares two fleeces or two methods under one mark. They are one thing if
// they were entered at the same moment, for each store counts its marks by itself;
// of an older version, which wrote no moments, if nothing but words differs.
func newerOf(here, in []byte) ruling {
	type record struct {
		MadeAt    time.Time       `json:"made_at"`
		ChangedAt time.Time       `json:"changed_at"`
		RawG      float64         `json:"raw_g"`
		Steps     json.RawMessage `json:"steps"`
	}
	var a, b record
	if json.Unmarshal(here, &a) != nil || json.Unmarshal(in, &b) != nil || !a.MadeAt.Equal(b.MadeAt) {
		return neither
	}
	if a.MadeAt.IsZero() && (a.RawG != b.RawG || !slices.Equal(a.Steps, b.Steps)) {
		return neither
	}
	switch a.ChangedAt.Compare(b.ChangedAt) {
	case -1:
		return cameIn
	case 1:
		return isHere
	}
	return neither
}

// newerNames says of two kits whether they are one but for names that were put right.
func newerNames(here, in []byte) ruling {
	var a, b shed.Kit
	if json.Unmarshal(here, &a) != nil || json.Unmarshal(in, &b) != nil {
		return neither
	}
	a, b = a.Clean(), b.Clean()
	x, y, was := a.WithNames(b), b.WithNames(a), len(a.Names)
	known := len(x.Names) == was
	x.Names, y.Names, a.Names = nil, nil, nil
	switch {
	case !alikeValues(x, y):
		return neither
	case known && alikeValues(x, a):
		return isHere
	}
	return cameIn
}

// withNames is what to keep of a kit that came in: all of it where there is none
// here, else the kit here with its names; nil for nothing, which is so of a copy.
func withNames(here, in []byte) ([]byte, error) {
	if here == nil {
		return in, nil
	}
	if alike[shed.Kit](here, in) || newerNames(here, in) != cameIn {
		return nil, nil
	}
	var a, b shed.Kit
	if err := errors.Join(json.Unmarshal(here, &a), json.Unmarshal(in, &b)); err != nil {
		return nil, err
	}
	return json.Marshal(a.Clean().WithNames(b.Clean()))
}
