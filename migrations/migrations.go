// Package migrations carries the SQL that makes a book's tables, one folder
// for each database, with the same file names in both.
package migrations

import "embed"

// FS holds the folders sqlite and postgres.
//
//go:embed sqlite/*.sql postgres/*.sql
var FS embed.FS
