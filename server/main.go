// Command server runs Roodbeam for a team: gRPC on one door, Connect, gRPC-Web,
// JSON and the web client on the other.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/alecthomas/kong"
	"github.com/rs/zerolog"

	"roodbeam/server/app"
)

type flags struct {
	GRPC        string        `name:"grpc" env:"ROODBEAM_GRPC" default:"127.0.0.1:7443" help:"Address of the gRPC door."`
	HTTP        string        `name:"http" env:"ROODBEAM_HTTP" default:"127.0.0.1:7480" help:"Address of the HTTP door: Connect, gRPC-Web, JSON and the web client. Empty: none."`
	Data        string        `env:"ROODBEAM_DATA" default:"roodbeam-data" help:"Folder of the embedded store."`
	Postgres    string        `env:"ROODBEAM_POSTGRES" help:"Postgres connection string; replaces the embedded store."`
	Grace       time.Duration `env:"ROODBEAM_GRACE" default:"10s" help:"How long running calls may end on stop."`
	TokenRate   float64       `name:"token-rate" env:"ROODBEAM_TOKEN_RATE" default:"100" help:"Calls per second with one token; bursts of ten seconds' worth."`
	AddressRate float64       `name:"address-rate" env:"ROODBEAM_ADDRESS_RATE" default:"10" help:"Calls per second without a valid token from one address; bursts of ten seconds' worth."`
	Forwarded   bool          `env:"ROODBEAM_FORWARDED" help:"A proxy of your own stands before the server: take addresses from the last entry of X-Forwarded-For."`
	Pictures    int           `name:"picture-width" env:"ROODBEAM_PICTURE_WIDTH" default:"800" help:"Width of the pictures in packets, in pixels, 160 to 1920. Smaller ones are drawn sooner."`
	LogLevel    string        `name:"log-level" env:"ROODBEAM_LOG_LEVEL" default:"info" enum:"debug,info,warn,error" help:"Least level that is logged."`
}

// Narrower pictures show nothing, wider ones only take longer.
const leastPicturePx, mostPicturePx = 160, 1920

func main() { os.Exit(run()) }

func run() int {
	var f flags
	kong.Parse(&f, kong.Name("server"), kong.Description("Roodbeam's server."))
	level, err := zerolog.ParseLevel(f.LogLevel)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 2
	}
	if f.Pictures < leastPicturePx || f.Pictures > mostPicturePx {
		fmt.Fprintf(os.Stderr, "server: --picture-width is %d, allowed: %d to %d\n", f.Pictures, leastPicturePx, mostPicturePx)
		return 2
	}
	if !(f.TokenRate > 0) || !(f.AddressRate > 0) {
		fmt.Fprintf(os.Stderr, "server: --token-rate is %g and --address-rate %g, allowed: above 0\n", f.TokenRate, f.AddressRate)
		return 2
	}
	log := zerolog.New(os.Stderr).Level(level).With().Timestamp().Logger()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second signal ends the process at once.
	context.AfterFunc(ctx, stop)
	err = app.Run(ctx, app.Config{GRPC: f.GRPC, HTTP: f.HTTP, DataDir: f.Data, Postgres: f.Postgres, Grace: f.Grace, Log: log, PictureWidthPx: f.Pictures,
		TokenRate: f.TokenRate, AddressRate: f.AddressRate, Forwarded: f.Forwarded})
	if err != nil {
		log.Error().Err(err).Msg("server ended")
		return 1
	}
	return 0
}
