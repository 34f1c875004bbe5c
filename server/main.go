// Command evenfall measures small plots, mixes for their true size, plans the
// passes and prints the page that goes on the ATV. This package is the command
// line; it wires the other packages together and computes nothing.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/alecthomas/kong"
)

// version is set at build time.
var version = "development"

// Exit codes, part of the interface.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
)

// commands are the subcommands; their fields are the flags.
type commands struct {
	Area    areaCommand    `cmd:"" help:"Say how large the plots in a file are."`
	Check   checkCommand   `cmd:"" help:"Say what is wrong with an outline, and where."`
	Sheet   sheetCommand   `cmd:"" help:"Work out the sheet for a plot and write it."`
	Trip    tripCommand    `cmd:"" help:"Plan one trip over all plots of a file: bags, loads, weight."`
	Pans    pansCommand    `cmd:"" help:"Read a pan test: how even at which spacing."`
	Gate    gateCommand    `cmd:"" help:"Read catch tests: the gate, the speed or the rate."`
	Bags    bagsCommand    `cmd:"" help:"Choose whole bags for a soil test's need."`
	Count   countCommand   `cmd:"" help:"Judge counts in a hoop: enough, thin, too thick."`
	Serve   serveCommand   `cmd:"" help:"Serve the page and the interface for programs."`
	Backup  backupCommand  `cmd:"" help:"Copy the database to a new file, also while a server uses it."`
	Version versionCommand `cmd:"" help:"Say which version this is."`
}

// console is where a command reads and writes; tests give their own.
type console struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
}

// today is the day that a command works for when none is given.
func (c *console) today() string { return c.now().Format(time.DateOnly) }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], &console{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now}))
}

// run parses the words and runs the command; the result is the exit code.
func run(ctx context.Context, words []string, c *console) int {
	code := -1
	parser, err := kong.New(&commands{},
		kong.Name("evenfall"),
		kong.Description("Measure a plot, mix for its true size, plan the passes, print the page.\n\nA FILE is GeoJSON, GPX, KML, KMZ or a zipped shapefile, told by its content; - is standard input."),
		kong.Writers(c.out, c.err),
		kong.Exit(func(asked int) { code = asked }),
		kong.BindTo(ctx, (*context.Context)(nil)), kong.Bind(c),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)
	if err != nil {
		fmt.Fprintln(c.err, "evenfall:", err)
		return exitFailed
	}
	command, err := parser.Parse(words)
	if code >= 0 {
		return code // help was asked for and printed
	}
	if err != nil {
		return c.usage(err)
	}
	return c.report(command.Run())
}

// usage says what is wrong with the words and where help is.
func (c *console) usage(err error) int {
	fmt.Fprintf(c.err, "evenfall: %v\nTry 'evenfall --help'.\n", err)
	return exitUsage
}

// misuse is an error in the words that only shows once a command runs.
type misuse struct{ error }

func (c *console) report(err error) int {
	var wrong misuse
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &wrong):
		return c.usage(err)
	}
	fmt.Fprintln(c.err, "evenfall:", err)
	return exitFailed
}

// writeJSON writes a value for programs.
func writeJSON(w io.Writer, value any) error {
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	return encoder.Encode(value)
}

type versionCommand struct{}

func (versionCommand) Run(c *console) error {
	fmt.Fprintln(c.out, "evenfall", version)
	return nil
}
