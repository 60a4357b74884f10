// Package churchfile reads the YAML file a user writes into the API's own
// message, by its descriptor, and remembers the line of every field so that
// whatever the server says about a field can be shown with its line.
package churchfile
