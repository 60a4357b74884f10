// Package service has one package per service below it. A method loads
// documents, calls the engine, appends to the journal if it writes, and
// converts; it decides nothing else.
package service
