// Package ledger is what outlives a day: how days and fleeces are kept, the rows and the
// look back of a day, the yield of a fleece over its days, what past days teach.
//
// A batch is bagged when its dry weight is known: there is no event of its own for it, and
// its tray is free from then on. Summaries carry [Summary.Rows] as one text, because the ledger
// reads twenty thousand batches at once (43 ms; go test ./store -run '^$' -bench Ledger1000).
// Summaries of older versions have none, or shorter rows: [FillRows] takes them from the
// events, nothing is migrated, and a day's next event writes its summary with rows
// (TestOldSummariesGetTheirRows, TestOldRecord).
package ledger
