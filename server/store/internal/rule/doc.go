// Package rule holds what the store contract demands whatever the engine: checks of arguments, content hashes,
// sort keys and page tokens.
package rule
