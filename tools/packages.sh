# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Sourced by the scripts beside it: what a bare Debian 12 needs to build, run and test ohmglow.

# The program alone, without the module for video: all that tools/demo asks for.
program_packages=(
  g++ cmake ninja-build pkg-config
  libopencv-core-dev libopencv-imgproc-dev libopencv-calib3d-dev
  libtiff-dev libpng-dev libdeflate-dev libjpeg62-turbo-dev libarchive-dev libcfitsio-dev libfast-float-dev
  libeigen3-dev nlohmann-json3-dev libboost-dev libboost-program-options-dev libxxhash-dev
  libcpp-httplib-dev
  libpango1.0-dev libcairo2-dev fonts-dejavu-core
  # The manual pages, from src/manual/*.md.
  lowdown groff-base
)

packages=(
  "${program_packages[@]}"
  # The module for video; without these ohmglow is built without it.
  libavformat-dev libavcodec-dev libavutil-dev libswscale-dev
  # Simulator and tests alone: pictures through another library than the program's.
  libopencv-imgcodecs-dev
  # Tests alone: GoogleTest, the schema check of result.json, the scorer of the captures.
  # qpdf and poppler check the PDF of the customer's page.
  qpdf poppler-utils
  # Frames written by other programs.
  libtiff-tools imagemagick zip xz-utils gawk
  libgtest-dev libgmock-dev python3 python3-jsonschema python3-numpy
  # Tests alone: the Debian packages (cpack asks dpkg-shlibdeps and file).
  dpkg-dev file
  # Tests alone: videos, written by another program than ours reads them with.
  ffmpeg
  # Tests alone: the desk asked from outside.
  curl
  # Tests alone: batches that share out a shelf.
  parallel
)

# A browser that the tests can drive; only tools/test installs it.
browser_packages=(chromium chromium-driver python3-selenium)

# Installs what is missing; asks nothing of apt where nothing is.
install_packages() {
  local missing=() name
  for name in "${packages[@]}"; do
    dpkg-query -W -f '${Status}' "$name" 2> /dev/null | grep -q '^install ok installed$' ||
      missing+=("$name")
  done
  [ ${#missing[@]} -gt 0 ] || return 0
  local as_root=()
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo > /dev/null; then
      echo "These packages are missing, and neither root nor sudo is at hand: ${missing[*]}" >&2
      return 1
    fi
    as_root=(sudo)
  fi
  echo "Installing: ${missing[*]}"
  "${as_root[@]}" apt-get update -q
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
    apt-get install -q -y --no-install-recommends "${missing[@]}"
}
