// Package ledger is what outlives a day: how days and fleeces are kept, the rows and the
// look back of a day, the yield of a fleece over its days, what past days teach.
package ledger
