// Package washday is the screen of the running day: band, lanes, list, curve, keys and questions.
package washday
