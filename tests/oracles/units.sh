#!/bin/sh
# Writes units.json: conversion factors by the program `units` (Debian package units 2.22-2).
# Run where that package is installed: sh tests/oracles/units.sh > tests/oracles/units.json
set -eu
pairs='in>mm um>mm m>mm cm>mm lbf>N kgf>N kN>N lbf*ft>N*m lbf*in>N*m GPa>MPa N/mm^2>MPa N/mm>N/m oz>kg lb>kg g>kg rpm>Hz J>N*m kJ>J kW>W hour>s min>s 63|64*in>mm 3|16*in>mm oz*in>g*mm lb/ft^3>kg/m^3'
version=$(dpkg-query -W -f '${Version}' units)
printf '{\n  "library": "units (Debian)",\n  "version": "%s",\n  "values": {\n' "$version"
first=1
for pair in $pairs; do
  value=$(units --terse --digits 15 --quiet "${pair%%>*}" "${pair##*>}")
  [ "$first" = 1 ] || printf ',\n'
  first=0
  printf '    "%s": %s' "$pair" "$value"
done
for c in -40 0 20 21.5 37 100; do
  printf ',\n    "tempC(%s)>tempF": %s' "$c" "$(units --terse --digits 15 --quiet "tempC($c)" tempF)"
done
printf '\n  }\n}\n'
