// Package store says what Roodbeam keeps and how it is read back: journals and documents of projects, blobs,
// people and tokens. Engines live in the packages below it; storetest holds the suite each of them must pass.
package store
