# ruff: noqa: E501 — a call is a line, as it is typed
"""Calls: what is typed at the terminal, and that no command, option or choice is forgotten.

`SAMPLE` is asked of the sample rig, `RIG` of every rig by chance, `NOTEBOOK` in its order of one
notebook that is filled on the way.  Refusals are made from the commands as they are.

Holds:  the tables of calls; what they forget of a group of commands.
Never:  running them.
"""

import hashlib
import re
import shlex
from itertools import pairwise

import click

BOTH = "rig.toml shots.csv"
# name of a command: what is typed behind it, a call a line
SAMPLE = {
    "demo": """
        seen
    """,
    "new": """
        fresh.toml
        fresh.toml --name Lapwing --hand left --metric
        fresh.toml --hand right --imperial
        rig.toml
        fresh-house.toml --house
        fresh-bow.toml --setup
        fresh-bow-too.toml --setup --kind longbow --metric
        compound.toml --kind compound
        recurve.toml --kind recurve --metric
        longbow.toml --kind longbow --hand left
        fresh.toml --force
        - --kind recurve
    """,
    "house": """
        house.toml
        house.toml --json
        rig.toml
    """,
    "gauge": """
        rig.toml
        --start 10 --reach 60 --width "11 mm" --pointer left --far-end up --paper Letter --out strip
        rig.toml --proof "99.6,100.2 mm" --pointer right --far-end down --paper A4 --format dxf
        rig.toml --format svg --format pdf
    rig.toml --width "60 mm"
    rig.toml --format svg --proof "99.6,100.2 mm"
        --reach 3
        rig.toml --format svg --out - --force
    """,
    "target": """
        rig.toml
        rig.toml --size 60x90cm --distance "50 m" --tolerance "8 cm" --format svg --format pdf
        --size 24x36in --distance "60 yd" --tolerance none --imperial --paper Letter --out butt
        --metric --proof "99.6,100.2 mm" --paper A4 --json
        rig.toml --size 6x9
        rig.toml --format svg --force
    """,
    "add": """
        rig.toml shots.csv
        rig.toml begun.csv --metric
        rig.toml - --imperial
        rig.toml shots.csv --house house.toml --tape on.tape.json
        shots.csv rig.toml
    """,
    "group": """
        rig.toml shots.csv
        shots.csv
        rig.toml shots.csv --json
        rig.toml shots.csv --metric --zero-within "3 cm" --clicks-per-turn 20 --band 80
        rig.toml shots.csv --arrow-by-arrow --windage still --imperial
        rig.toml shots.csv --arrow-by-arrow --windage moved --json --metric
    shots.csv --arrow-by-arrow
        rig.toml since.csv --zero-within "1 in"
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml shots.csv --more
    """,
    "drift": """
        rig.toml season.csv
        rig.toml season.csv --since 2031-05-01 --more --svg drift
        rig.toml season.csv --json --imperial --band 80 --seed 3 --svg drift.svg --force
        rig.toml season.csv --metric --json --house house.toml --tape on.tape.json
        rig.toml season.csv --since 2031-01-01
        rig.toml shots.csv
    """,
    "arrows": """
        rig.toml season.csv
        rig.toml season.csv --at "50 m" --more
        rig.toml season.csv --at 40yd --json --imperial --band 80 --seed 3
        rig.toml season.csv --metric --json --house house.toml --tape on.tape.json
        rig.toml shots.csv
    """,
    "broadheads": """
        rig.toml broad.csv --blades "30 mm" --wanted "40 yd"
        rig.toml broad.csv --blades 1in --distances 10:40:10yd --butt 40x40in --json --imperial --seed 3 --more
        rig.toml broad.csv --blades "30 mm" --metric --json --band 80 --house house.toml --tape on.tape.json
        rig.toml shots.csv
    """,
    "photo": """
        image.png --distance "20 yd" --reading "31.2 mm" --corners "100,100 700,100 700,900 100,900" --size 30x40cm --shaft "6 mm"
        image.png --distance "20 m" --reading 31.2mm --corners "100,100 700,100 700,900 100,900" --size 30x40cm --rig rig.toml --group far --out found --json --metric
        image.png --distance "20 yd" --reading 31.2mm --shaft 6mm --imperial
        image.png --distance "20 yd" --reading "20 yd" --tape on.tape.json --shaft 6mm
        image.png --distance "20 yd" --reading 31.2mm --target nosuchcode
        image.png --distance "20 yd" --reading 38.5 --tape on.tape.json --corners "100,100 700,100 700,900 100,900" --size 30x40cm --shaft "6 mm" --out dialled
        rig.toml --distance "20 yd" --reading 31.2mm
        image.png --distance "20 yd" --reading 31.2mm --corners "100,100 700,100 700,900 100,900" --size 30x40cm --out - --force
    """,
    "clicks": """
        rig.toml
        rig.toml shots.csv
        rig.toml shots.csv --json --distances 20:80:10yd
        rig.toml shots.csv --metric --distances "18,30 m" --band 95
        rig.toml --learn turned.csv
        rig.toml --learn turned.csv --json --imperial
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml shots.csv --more
    """,
    "fit": """
        rig.toml
        rig.toml --metric --json
        rig.toml shots.csv
        rig.toml shots.csv --json
        rig.toml shots.csv --metric --distances "18,30,50 m" --band 80 --seed 3
        rig.toml shots.csv --json --fixed-pins 20,30,40yd --imperial
        rig.toml shots.csv --fixed-pins "18,30 m"
        rig.toml shots.csv --distances 10:125:5yd
        rig.toml shots.csv --json --metric --distances "18,5;20,5 m"
        rig.toml shots.csv --distances 10:400:10yd
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --house house.toml --json --metric
        rig.toml shots.csv --tape on.tape.json
        rig.toml shots.csv --more
    """,
    "plan": """
        rig.toml
        rig.toml --json
        rig.toml shots.csv
        rig.toml shots.csv --json --metric
        rig.toml shots.csv --to "90 yd" --tolerance "4 in" --butt 24x24in --arrows 30 --distances 20,30,50,70yd --walk no --band 80 --seed 2
        rig.toml shots.csv --to "70 m" --walk yes --imperial --temperature "-5 °C"
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --windage moved
        rig.toml shots.csv --windage still --json
        rig.toml shots.csv --tape on.tape.json
        rig.toml shots.csv --more
    """,
    "tape": """
        rig.toml
        rig.toml shots.csv
        rig.toml shots.csv --json --metric --format pdf
        rig.toml shots.csv --wheel "48 mm" --thickness "0.2 mm" --format svg --format dxf --out wound
        rig.toml shots.csv --distances 10:70:1yd --between 30,70 --step 0.8mm --number-every 10 --width "14 mm" --length "120 mm" --pointer left --far-end up --paper Letter --proof "99.6,100.2 mm" --band 80 --seed 2 --imperial
        rig.toml shots.csv --number-every 5 --pointer right --far-end down --paper A4 --format pdf --side-scale no --labels no
        rig.toml shots.csv --notches "20,22,40 yd" --rules "no notes, one pin" --format pdf --out felt
        rig.toml shots.csv --rules "paper only" --format dxf
        rig.toml shots.csv --side-scale yes --labels yes --length "270 mm" --format pdf --format cut.svg --out long
        rig.toml shots.csv --length "2 mm"
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml shots.csv --format tape.json --out record
        rig.toml --force
        --mark "20 yd = 17.2" --mark "60 yd = 48.5"
        --mark "20 m = 48,5" --mark "60 m = 17" --kind recurve --format pdf --json
        --mark "20=15" --kind compound
        --mark "20=15" --kind longbow --out old
        rig.toml shots.csv --mark "80 yd 64.4 mm" --format pdf
        rig.toml --kind longbow
        rig.toml --mark "20=40" --mark "60=10"
        rig.toml --out - --format svg
        rig.toml --out -
    """,
    "stuck": """
        rig.toml shots.csv --of on.tape.json --strip 1 --ticks "40 yd 29.4 mm" --sticking "0.2 mm" --out moved.tape.json
        rig.toml --ticks "20 yd 15.6 mm, 60 yd 46.1 mm" --name old --out old.tape.json --json
        rig.toml shots.csv --of on.tape.json --tape on.tape.json --by-shooting - --name shot --out shot.tape.json --metric --band 80 --seed 2
        rig.toml --of on.tape.json --house house.toml --imperial --out housed.tape.json
        rig.toml --ticks "20 yd" --out none.tape.json
        rig.toml --ticks "20 yd 15.6 mm, 60 yd 46.1 mm" --out on.tape.json --force
    """,
    "pocket": """
        rig.toml shots.csv
        rig.toml shots.csv --out phone.html --metric --band 80 --seed 2 --json
        rig.toml --imperial
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --out - --force
    """,
    "strips": """
        rig.toml
        rig.toml shots.csv
        rig.toml shots.csv --json
        rig.toml shots.csv --set set.csv --to "50 yd" --distances 20:60:10yd --band 80 --seed 2
        rig.toml shots.csv --metric --between 18,50 --step 0.5mm
        rig.toml shots.csv --set set.csv --json --imperial
        rig.toml shots.csv --set shots.csv
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "prove": """
        rig.toml shots.csv proof.csv
        rig.toml shots.csv proof.csv --json
        rig.toml shots.csv proof.csv --metric --distances 18,30,50m --span 18,50 --band 80 --seed 2
        rig.toml shots.csv proof.csv --accept all.csv --imperial
        rig.toml shots.csv since.csv
        rig.toml shots.csv shots.csv
        rig.toml shots.csv proof.csv --house house.toml
        rig.toml shots.csv proof.csv --tape on.tape.json
        rig.toml shots.csv proof.csv --more
        rig.toml shots.csv proof.csv --accept - --force
    """,
    "card": """
        rig.toml
        rig.toml shots.csv
        rig.toml shots.csv --json --metric
        rig.toml shots.csv --csv card.csv --distances 20:80:5yd --radius "2 in" --pin 2
        rig.toml shots.csv --csv card.csv --metric
        rig.toml shots.csv --print pocket --paper Letter --format svg --format pdf --out folded --imperial
        rig.toml shots.csv --print page --paper A4 --band 80 --seed 2
        rig.toml shots.csv --print page --rules "no notes"
        rig.toml shots.csv --pin 7
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
        rig.toml shots.csv --csv - --force
    """,
    "slopes": """
        rig.toml shots.csv
        rig.toml shots.csv --json
        rig.toml shots.csv --distances 20,40m --slopes 10,25 --pin 2 --metric --band 80 --seed 2
        rig.toml --imperial
        rig.toml shots.csv --slopes 80
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "weather": """
        rig.toml shots.csv
        rig.toml shots.csv --json --temperature "-5 °C" --altitude "1800 m"
        rig.toml shots.csv --temperature "30 °F" --pressure "850 hPa" --humidity "30 %" --pin 2 --distances 20,60yd --imperial
        rig.toml shots.csv --sea-level-pressure "1020 hPa" --altitude "6000 ft" --metric --band 80 --seed 2
        rig.toml shots.csv --sea-level-pressure "1020 hPa"
        rig.toml shots.csv --temperature 20
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "cold": """
        rig.toml shots.csv
        rig.toml shots.csv --temperature "-10 °C" --clothes bulky
        rig.toml shots.csv --json --temperature "14 °F" --clothes usual --to 40yd --butt 80x80cm --distances 10,40yd --imperial --band 80 --seed 2
        rig.toml shots.csv --clothes bulky --groups 1 --metric
        rig.toml shots.csv --temperature "5 °C" --groups nobody
        rig.toml shots.csv --temperature "-80 °C"
        rig.toml shots.csv --temperature "-10 °C" --house house.toml
        rig.toml shots.csv --temperature "-10 °C" --tape on.tape.json
        rig.toml --temperature "-10 °C" --more
    """,
    "wind": """
        rig.toml shots.csv
        rig.toml shots.csv --json
        rig.toml shots.csv --cross "3 m/s" --head "-2 m/s" --spot "12 cm" --butt 80x80cm --distances 30,50m --metric --band 80 --seed 2
        rig.toml --cross "-10 mph" --head "20 km/h" --imperial
        rig.toml shots.csv --cross 10
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "change": """
        rig.toml shots.csv new.toml
        rig.toml shots.csv new.toml --json
        rig.toml shots.csv new.toml since.csv --metric --distances 18,30m --butt "60 cm" --new-string --band 80 --seed 2
        rig.toml shots.csv new.toml --tape --paper Letter --out other --imperial
        rig.toml shots.csv new.toml --tape --paper A4 --json
        rig.toml shots.csv rig.toml
        rig.toml shots.csv new.toml --house house.toml
        new.toml shots.csv rig.toml --kept shots.csv
        new.toml shots.csv rig.toml since.csv --kept shots.csv --json
        rig.toml shots.csv new.toml --on-sight on.tape.json
        rig.toml shots.csv new.toml --more
        rig.toml shots.csv new.toml --tape --out rig --force
    """,
    "compare": """
        rig.toml shots.csv new.toml since.csv
        rig.toml shots.csv new.toml since.csv --json --metric
        rig.toml shots.csv new.toml since.csv --distances 20,40,60yd --band 80 --seed 2 --imperial
        rig.toml shots.csv new.toml since.csv --house house.toml
        rig.toml shots.csv new.toml since.csv --tape on.tape.json
        rig.toml shots.csv new.toml since.csv --more
    """,
    "next": """
        rig.toml shots.csv --more --walk yes --windage still
        rig.toml shots.csv
        rig.toml shots.csv --json --metric
        rig.toml shots.csv --to "60 yd" --tolerance "2 in" --butt "60x60 cm" --arrows 24 --distances 20:60:10yd --walk no --temperature "5 °C" --windage moved --imperial --band 80 --seed 2
        rig.toml
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
    """,
    "budget": """
        rig.toml shots.csv
        rig.toml shots.csv --json --metric
        rig.toml shots.csv --at "40 yd" --distance "2 yd" --cant "1 deg" --peep "0.5 mm" --wind "2 mph" --slope "5 deg" --temperature "12 K" --speed "2 ft/s" --imperial --band 80 --seed 2
        rig.toml --at "40 m"
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "hold": """
        rig.toml shots.csv
        rig.toml shots.csv --json --metric
        rig.toml shots.csv --size "12 in" --distances 15:45:5yd --pin 1 --imperial --band 80 --seed 2
        rig.toml --size "30 cm"
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "picture": """
        flight rig.toml shots.csv
        marks rig.toml shots.csv --metric --out marks.png --band 80 --seed 2
        slopes rig.toml shots.csv --imperial
        budget rig.toml shots.csv --at "50 m"
        marks rig.toml --out marks.gif
        marks rig.toml shots.csv --house house.toml
        flight rig.toml shots.csv --tape on.tape.json
        marks rig.toml --out - --force
    """,
    "limits": """
        rig.toml shots.csv
        rig.toml shots.csv --json
        rig.toml --metric --distances 18,50m --band 80 --seed 2
        rig.toml shots.csv --imperial --distances 20:80:20yd
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "bolt": """
        rig.toml shots.csv --travel "-5,60 mm" --holes "0, 10, 20 mm" --hole 2 --extensions 0,50mm --extension 1 --more
        rig.toml shots.csv --travel 0,60mm --housings 20,26mm --wanted 20,70yd --json --imperial --band 80 --seed 2
        rig.toml --travel 0,60mm --seen "31 mm" --seen-at "5 m" --seen-doubt "3 mrad" --metric
        rig.toml shots.csv --travel 0,60mm --house house.toml --tape on.tape.json
        rig.toml shots.csv
        rig.toml --travel 0,60mm
    """,
    "peep": """
        rig.toml shots.csv --above "5 mm"
        rig.toml shots.csv --json --metric --distances 18,50m --band 80 --seed 2
        rig.toml --opening "0.19 in" --housing "41 mm" --dot "0.5 mm" --behind "80 mm" --pupil "4 mm" --openings "3,4 mm" --housings "41,45 mm" --imperial
        rig.toml shots.csv --house house.toml --tape on.tape.json --more
    """,
    "setup": """
        rig.toml shots.csv --record bow.toml
        rig.toml shots.csv --record bow.toml --again again.toml --near since.csv --card card --more
        rig.toml shots.csv --record bow.toml --again again.toml --distances 18,50m --json --metric --band 80 --seed 2
        rig.toml --record bow.toml --card card.pdf --paper Letter --force --imperial
        rig.toml shots.csv --record bow.toml --paper A4 --house house.toml --tape on.tape.json
        rig.toml shots.csv --record rig.toml
        rig.toml shots.csv
    """,
    "level": """
        rig.toml
        rig.toml shots.csv --json
        rig.toml shots.csv --test sides.csv
        rig.toml shots.csv --test sides.csv --json --metric
        rig.toml shots.csv --cant "2 deg" --third-axis "-1 deg" --travel-axis "0.5 deg" --peep "2 mm" --slope "30 deg" --zeroed "30 yd" --distances 20,50yd --imperial --band 80 --seed 2
        rig.toml shots.csv --house house.toml
        rig.toml shots.csv --tape on.tape.json
        rig.toml --more
    """,
    "family": """
        rig.toml --format pdf --format cut.svg
        rig.toml --check-lengths 26:30:1mm --between 20,60 --distances 20:60:1yd --number-every 10 --width "10 mm" --length "60 mm" --pointer left --far-end up --paper Letter --proof "99.6,100.2 mm" --out ready --imperial --format svg --side-scale no
        rig.toml --check-lengths 26:27:1mm --side-scale yes --format svg --out scaled
        --spans 26:28:1mm --metric --json --format dxf --number-every 5 --pointer right --far-end down --paper A4
        rig.toml --format svg --force
    """,
    "batch": """
        many --date 2031-04-05 --workers 1
        many --no-tapes --json --metric --to "50 m" --date 2031-04-05 --workers 1 --out again --band 80 --seed 2
        many --paper Letter --proof "99.6,100.2 mm" --far-end up --imperial --date 2031-04-05 --workers 1 --out third
        many --paper A4 --far-end down --cluster nowhere --date yesterday
        many --archive rig.toml --notebook
        --archive rig.toml
        --notebook --no-tapes --workers 1
        many --no-tapes --workers 1 --date 2031-04-05 --out housed --house house.toml
        --notebook --house house.toml
        many --no-tapes --workers 1 --date 2031-04-05 --out housed --force
    """,
    "serve": """
        --no-browser --port 8671
        --no-browser --port 8671 --lan --name bows.example --workers 2 --trusted-proxy 127.0.0.1 --notebook notes.db
        --no-browser --port 8671 --lan --name bows.example --new-passcode --notebook notes.db
        --no-browser --port 8671 --lan --name bows.example --notebook notes.db
        --no-browser --port 8671 --https --notebook notes.db
        --no-browser --port 8671 --https --new-authority --notebook notes.db
        --no-browser --port 8671 --name bows.example --log json --metrics 9464 --notebook fresh.db
        --no-browser --port 8671 --name bows.example --log json --metrics 192.0.2.1:9464 --notebook notes.db
        --no-browser --port 8671 --log errors --notebook notes.db
        --only-passcode --notebook notes.db
        --metrics nowhere
        --name "no name"
        --trusted-proxy nowhere
    """,
    "large": """
        rig.toml
        rig.toml shots.csv --distances "33,18,41,18 yd" --order targets --event "Club field" --letters white
        rig.toml shots.csv --json --metric --order near --letters black --pin 1 --paper Letter --out list
        rig.toml shots.csv --list distances.txt --format svg --format pdf --rules "one pin" --imperial
        rig.toml shots.csv --rules "no notes"
        rig.toml shots.csv --house house.toml --proof "99.6,100.2 mm" --force
        rig.toml shots.csv --tape on.tape.json --band 80 --seed 2 --paper A4
        --mark "20 yd = 17.2" --mark "60 yd = 48.5" --kind recurve
        --mark "20 yd = 17.2" --mark "60 yd = 48.5" --kind longbow --format pdf
        --mark "20 yd = 17.2" --mark "60 yd = 48.5" --kind compound --out -
    """,
    "rules": """
        rig.toml
        rig.toml shots.csv --rules "no notes, one pin" --json
        rig.toml shots.csv --rules none --metric --band 80 --seed 2
        rig.toml shots.csv --rules silence --imperial
        rig.toml shots.csv --house house.toml --tape on.tape.json --more
    """,
    "handover": """
        rig.toml shots.csv
        rig.toml shots.csv --json --by "A. Giver" --sign yes --out page
        rig.toml --metric --paper Letter --format svg --sign no --proof "99.6,100.2 mm"
        rig.toml shots.csv --imperial --band 80 --seed 2 --house house.toml
        rig.toml shots.csv --tape on.tape.json --paper A4 --format pdf --force
        --mark "20 yd = 17.2" --mark "60 yd = 48.5" --kind recurve --by "水"
        --mark "20 yd = 17.2" --mark "60 yd = 48.5" --kind compound --out compound
        --mark "20 yd = 17.2" --mark "60 yd = 48.5" --kind longbow --out longbow
    """,
    "give": """
        rig.toml given.toml --name "Bow 7"
        rig.toml given.toml --name "Bow 7" --json
        rig.toml given.toml --name "Bow 8" --json --force
        rig.toml lent.toml --name "Bow 9" --record bow.toml
        rig.toml -
        rig.toml other.toml --name heron
    """,
}
RIG = {
    "demo": "seen",
    "new": "fresh.toml",
    "house": "house.toml",
    "gauge": "rig.toml --format pdf --format svg",
    "target": "rig.toml --json",
    "add": "rig.toml shots.csv",
    "group": "rig.toml shots.csv\nrig.toml shots.csv --json --metric\nshots.csv",
    "photo": 'image.png --distance "20 yd" --reading 31.2mm --corners "100,100 700,100 700,900 100,900" --size 30x40cm --rig rig.toml --json',
    "drift": "rig.toml season.csv --svg drift\nrig.toml season.csv --json --metric",
    "arrows": "rig.toml season.csv\nrig.toml season.csv --json --metric",
    "broadheads": 'rig.toml broad.csv --blades "30 mm"\nrig.toml broad.csv --blades "30 mm" --json --metric',
    "clicks": "rig.toml shots.csv\nrig.toml shots.csv --json --metric\nrig.toml --learn turned.csv",
    "fit": "rig.toml shots.csv\nrig.toml shots.csv --json\nrig.toml shots.csv --metric\nrig.toml shots.csv --json --metric --fixed-pins 18,30,50m",
    "next": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "plan": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "tape": "rig.toml shots.csv --format pdf\nrig.toml shots.csv --json --metric --format svg",
    "stuck": 'rig.toml --ticks "20 yd 15.6 mm, 60 yd 46.1 mm" --out laid.tape.json --json',
    "pocket": "rig.toml shots.csv --metric",
    "strips": "rig.toml shots.csv --set set.csv\nrig.toml shots.csv --json --metric",
    "prove": "rig.toml shots.csv proof.csv\nrig.toml shots.csv proof.csv --json --metric",
    "card": "rig.toml shots.csv --csv card.csv\nrig.toml shots.csv --json --metric --csv card.csv",
    "slopes": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "weather": 'rig.toml shots.csv --temperature "-5 °C"\nrig.toml shots.csv --json --metric --altitude "1800 m"',
    "cold": 'rig.toml shots.csv --temperature "-10 °C"\nrig.toml shots.csv --json --metric --clothes bulky',
    "wind": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "change": "rig.toml shots.csv new.toml since.csv\nrig.toml shots.csv new.toml --json --metric",
    "compare": "rig.toml shots.csv new.toml since.csv\nrig.toml shots.csv new.toml since.csv --json --metric",
    "budget": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "hold": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "picture": "marks rig.toml shots.csv",
    "limits": "rig.toml shots.csv\nrig.toml shots.csv --json --metric",
    "bolt": "rig.toml shots.csv --travel 0,70mm --extensions 0,50mm\nrig.toml shots.csv --travel 0,70mm --json --metric",
    "peep": "rig.toml shots.csv --above 4mm\nrig.toml shots.csv --json --metric",
    "setup": "rig.toml shots.csv --record bow.toml --again again.toml\nrig.toml shots.csv --record bow.toml --json --metric",
    "level": "rig.toml shots.csv --test sides.csv\nrig.toml shots.csv --json --metric",
    "family": "rig.toml --format pdf",
    "serve": "--no-browser --port 8671",
    "large": "rig.toml shots.csv\nrig.toml shots.csv --json --metric --letters white",
    "rules": 'rig.toml shots.csv\nrig.toml shots.csv --json --metric --rules "no notes"',
    "handover": "rig.toml shots.csv\nrig.toml shots.csv --json --metric --sign yes",
    "give": "rig.toml given.toml --name Egret\nrig.toml given.toml --name Egret --json --force",
}  # fmt: skip
# In this order, over a notebook with all rigs by chance: what one writes the next one reads.
NOTEBOOK = """
    rigs
    import rig.toml shots.csv --notebook other.db --tape on.tape.json
    import shots.csv rig.toml
    rigs --json
    rigs --metric --json --limit 3
    rigs --find "Rig 0" --imperial
    rigs --limit 2 --after 0000 --notebook other.db
    rigs --find nobody
    export --rig "Rig 01" --out one.json
    export --rig "Rig 01" --out one.json --force
    export --rig "Rig 01" --out -
    export --rig "No Such" --out none.json
    export --notebook other.db
    backup copy.db
    backup -
    backup copy.db --notebook other.db
    restore copy.db --notebook again.db
    restore one.json --notebook third.db
    restore copy.db
    import one.json
    import one.json --notebook fourth.db
    check
    check --json
    check --save sound.json --notebook other.db
    check --save sound.json --force
    check --notebook nowhere.db
    erase --notebook third.db
    erase "Rig 01" --notebook third.db
    erase "Rig 01" --yes --also nobody --notebook third.db
    erase "Rig 02" --yes --json --notebook again.db
    erase --sweep --notebook third.db
    house house.toml --keep
    house house.toml --keep --json --notebook other.db
    house rig.toml --keep
    batch --notebook --no-tapes --workers 1 --date 2031-04-05
    batch --archive one.json --workers 1 --date 2031-04-05 --out from-one
"""
SHEETS = {
    "no-toml": "name = 'x\n",
    "empty": "",
    "typo": 'name = "x"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n[sight]\npeep_hight = "4.6 in"\n',
    "stray-table": 'name = "x"\n[bows]\ndraw_weight = "60 lbf"\n',
    "no-unit": 'name = "x"\n[arrow]\nmass = "420"\nshaft_diameter = "6 mm"\n',
    "bad-unit": 'name = "x"\n[arrow]\nmass = "420 kg"\nshaft_diameter = "6 ft/s"\n',
    "too-heavy": 'name = "x"\n[arrow]\nmass = "42000 gr"\nshaft_diameter = "6 mm"\n',
    "missing": 'name = "x"\n[arrow]\nmass = "420 gr"\n',
    "number": 'name = "x"\n[arrow]\nmass = 420\nshaft_diameter = true\n',
    "schema-2": 'schema = 2\nname = "x"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n',
    "hand": 'name = "x"\nhand = "both"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n',
    "doubt": 'name = "x"\n[arrow]\nmass = "420 gr ± ?"\nshaft_diameter = "6 mm ± 1"\n',
    "twice": 'name = "x"\nname = "y"\n',
    "odd": 'name = "x"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n[bow]\nlaunch_speed = "400 ft/s"\n[sight]\npeep_height = "2 in"\narm_length = "90 mm"\ntravel_ends = ["5 mm"]\n',
    "air": 'name = "x"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n[air]\npressure = "900 hPa"\nsea_level_pressure = "1013 hPa"\n',
}  # fmt: skip
ROWS = {
    "no-column": "group,distance_yd\na,20\n",
    "strange-column": "group,distance_yd,reading_mm,right_in,up_in,moon\na,20,10,1,2,full\n",
    "no-unit": "group,distance,reading,right,up\na,20,10,1,2\n",
    "letters": "group,distance_yd,reading_mm,right_in,up_in\na,twenty,10,1,2\n",
    "too-far": "group,distance_yd,reading_mm,right_in,up_in\na,2000,10,1,2\n",
    "too-few": "group,distance_yd,reading_mm,right_in,up_in\na,20,10\n",
    "too-many": "group,distance_yd,reading_mm,right_in,up_in\na,20,10,1,2,3\n",
    "two-readings": "group,distance_yd,reading_mm,right_in,up_in\na,20,10,1,2\na,20,11,1,2\n",
    "pin": "group,distance_yd,reading_mm,right_in,up_in,pin\na,20,10,1,2,9\n",
    "bad-all": "group,distance_yd,reading_mm,right_in,up_in,note\na,20,10,1,2,bad\n",
    "wide": "group,distance_yd,reading_mm,right_in,up_in\na,20,10,1,2\na,20,10,80,2\nb,60,35,0,1\n",
    "air": "distance_m,reading_cm,right_mm,up_mm,temperature_f,pressure_inhg,crosswind_mph,slope_deg,arrows\n18,1.2,3,4,70,29.4,5,10,2\n50,3.1,3,4,70,29.4,5,-10,1\n",
    "comma": "distance_yd;reading_mm;right_in;up_in\n20;10,5;1,5;2\n60;41,2;;\n",
    "empty": "",
}  # fmt: skip
HOUSES = {
    "house-no-name": '[[sight]]\nreading_per_travel = "1.6 ± 0.01"\n',
    "house-no-doubt": 'name = "x"\n[[sight]]\nreading_per_travel = "1.6"\n',
    "house-twice": 'name = "x"\n[[archer]]\ndispersion = "0.9 mrad ± 0.2"\n[[archer]]\ndispersion = "0.8 mrad ± 0.2"\n',
    "house-one-bracket": 'name = "x"\n[sight]\nkind = "a"\n[sight]\nkind = "b"\n',
    "house-bias": 'name = "x"\n[[chronograph]]\nreads = "1.2 % ± 0.4"\n',
    "house-no-drag": 'name = "x"\n[[arrow]]\nkind = "thin"\n',
}  # fmt: skip
BAD = {f"sheet-{name}.toml": text for name, text in SHEETS.items()}
BAD |= {f"rows-{name}.csv": text for name, text in ROWS.items()}
BAD |= {f"{name}.toml": text for name, text in HOUSES.items()}
REFUSED = [
    *(f"gauge sheet-{name}.toml --format svg" for name in SHEETS),
    *(f"fit sheet-{name}.toml" for name in ("odd", "air", "typo", "missing")),
    *(f"fit rig.toml rows-{name}.csv" for name in ROWS),
    *(f"house {name}.toml" for name in HOUSES), "fit rig.toml --house nowhere.toml",
    *(f"group rows-{name}.csv" for name in ROWS),
    *(f"strips rig.toml shots.csv --set rows-{name}.csv" for name in ("letters", "no-unit", "empty")),
    *(f"level rig.toml --test rows-{name}.csv" for name in ("letters", "no-unit", "empty")),
    *(f"clicks rig.toml --learn rows-{name}.csv" for name in ("letters", "no-unit", "empty")),
    "fit image.png", "fit rig.toml image.png", "fit many", "fti rig.toml", "--jsno", "--version",
    "", "-h", "fit rig.toml shots.csv proof.csv", "fit shots.csv rig.toml", "import image.png",
]  # fmt: skip
MOST_NAME = 100  # letters of a file's name
NONSENSE = ("", "x@y", "-3 parsec")


def calls_of(table):
    """Typed words of each call of a table."""
    return [
        [name, *shlex.split(line)]
        for name, lines in table.items()
        for line in lines.strip().splitlines()
    ]


def notebook_calls():
    """Typed words of each call over the notebook, in order."""
    return [shlex.split(line) for line in NOTEBOOK.strip().splitlines()]


def commands_of(group):
    """All commands by name, whether the group has loaded them or not.

    Parameters
    ----------
    group : click.Group
        All commands.
    """
    context = click.Context(group)
    return {name: group.get_command(context, name) for name in group.list_commands(context)}


def refusals(group):
    """Calls that most probably end in a refusal, from the commands as they are.

    Parameters
    ----------
    group : click.Group
        All commands.
    """
    found = [shlex.split(line) for line in REFUSED]
    for name, command in commands_of(group).items():
        if name == "serve":  # it would open
            continue
        found += [[name], [name, "nowhere.toml"], [name, "--jsno"], [name, "--help"]]
        usual = next(iter(calls_of({name: SAMPLE[name]})), [name]) if name in SAMPLE else [name]
        for option in options_of(command):
            if option.is_flag or option.count or isinstance(option.type, click.Path):
                continue
            found += [[*usual, option.opts[0], text] for text in NONSENSE]
    return [*found, ["serve", "--help"], ["serve", "--port", "x"], ["serve", "--jsno"]]


def options_of(command):
    """Options of a command, but for its help."""
    return [
        one
        for one in command.params
        if isinstance(one, click.Option) and "--help" not in one.opts and not one.hidden
    ]


def forgotten(group, calls):
    """Commands, options and choices that no call has.

    Parameters
    ----------
    group : click.Group
        All commands.
    calls : list of list of str
        Typed words of each call.

    Returns
    -------
    list of str
        As they would be typed.
    """
    missed = []
    for name, command in commands_of(group).items():
        mine = [words[1:] for words in calls if words[:1] == [name]]
        if not mine:
            missed.append(name)
        typed = {word for words in mine for word in words}
        pairs = {pair for words in mine for pair in pairwise(words)}
        for option in options_of(command):
            ways = [one for one in (option.opts, option.secondary_opts) if one]
            missed += [f"{name} {way[0]}" for way in ways if not typed & set(way)]
            if isinstance(option.type, click.Choice):
                said = {word for way, word in pairs if way in option.opts}
                left = [str(one) for one in option.type.choices if str(one) not in said]
                missed += [f"{name} {option.opts[0]} {one}" for one in left]
    return missed


def slug(words):
    """Name of a file for a call or an address; long ones end in a sum."""
    whole = " ".join(word or "EMPTY" for word in words)
    text = re.sub(r"[^\w.,+=-]+", "_", whole).strip("_") or "nothing"
    if len(text) <= MOST_NAME:
        return text
    return f"{text[:MOST_NAME]}_{hashlib.sha256(whole.encode()).hexdigest()[:8]}"
