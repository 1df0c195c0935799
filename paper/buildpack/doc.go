package buildpack
