package session

import (
	"fleece.example/tubside/cooling"
)

func CoverPhrase(c cooling.Cover) string {
	switch c {
	case cooling.Lid:
		return "lid on"
	case cooling.Film:
		return "film on"
	case cooling.LidAndFilm:
		return "film and lid on"
	case cooling.Open:
	}
	return "left open"
}
