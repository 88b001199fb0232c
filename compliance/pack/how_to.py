"""The page inside every pack that says how to check it without us."""

from __future__ import annotations

HOW_TO_FILE = "how-to-check.txt"

HOW_TO = """\
HOW TO CHECK THIS PACK

You need no special program, no account and no connection. The pack is a folder laid out
as RFC 8493 describes, a public standard for handing over files together with their
fingerprints. A fingerprint (SHA-256) is 64 digits and letters worked out from every byte
of a file. Change one byte, and the fingerprint is another.

1. IS EVERY FILE UNCHANGED?

Linux, macOS: open a terminal in the folder that holds bagit.txt, then

    sha256sum -c manifest-sha256.txt
    sha256sum -c tagmanifest-sha256.txt

(on macOS: shasum -a 256 -c manifest-sha256.txt, then the same with the other list).
Each line must end in OK.

Windows: open PowerShell in the folder that holds bagit.txt, then

    foreach ($list in 'manifest-sha256.txt', 'tagmanifest-sha256.txt') {
      foreach ($line in Get-Content $list) {
        $hash, $name = $line -split '  ', 2
        $now = (Get-FileHash -Algorithm SHA256 -LiteralPath $name).Hash
        if ($now -eq $hash) { "same       $name" } else { "DIFFERENT  $name" }
      }
    }

Each line must begin with "same".

2. IS ANYTHING THERE THAT SHOULD NOT BE?

Those commands look only at the files that are listed. A file that was added is not
noticed by them: compare the folder with the two lists. Beside the folder "data" there
are four files: bagit.txt, bag-info.txt, manifest-sha256.txt, tagmanifest-sha256.txt.

3. IS IT THE PACK THAT WAS ISSUED?

Whoever can change a file can also write a new list. So compare the root of the pack, the
fingerprint of the list of lists:

    sha256sum tagmanifest-sha256.txt
    Get-FileHash -Algorithm SHA256 tagmanifest-sha256.txt

with the root that you were given on the day, outside this folder: it is printed on the
cover sheet that lies beside the pack and in the letter or mail that came with it. The
first 12 characters of the root are the pack id. Keep that sheet or mail apart from the
pack. If you have no copy of your own, steps 1 and 2 show that the pack agrees with
itself, and no more than that.

4. WHAT THIS DOES NOT TELL YOU

That a pack is unchanged does not make what it says true, does not show that an
installation is safe, and is no certificate and no permission to switch anything on. Who
took a photo, when, and of what, rests on the people named in the record. Electrical work
can kill. Local regulations and the competent, licensed person who signs come before
anything printed in here.
"""


def how_to_check() -> bytes:
    """The page as the bytes that go into a pack."""
    return HOW_TO.encode("ascii")
