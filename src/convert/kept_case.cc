// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "convert/kept_case.h"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <vector>

#include "convert/kept_tables.h"
#include "convert/surroundings.h"
#include "input/png_codec.h"
#include "ohmglow/base/error.h"
#include "ohmglow/input/measured_frames.h"

namespace ohmglow {
namespace {

namespace fs = std::filesystem;

constexpr int kPngEffort = 6;

void Write(const fs::path& file, const std::string& bytes) {
  std::ofstream stream(file, std::ios::binary);
  stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  stream.close();
  if (!stream) {
    throw OutputError(file.string() + ": cannot be written (" + std::strerror(errno) +
                      "); check free space and rights");
  }
}

void CheckReadsBack(const Case& job, int num_left_out, const fs::path& file) {
  try {
    const Case kept = LoadCase(file);
    const bool same = kept.frames->count() + num_left_out == job.frames->count() &&
                      kept.frames->size_px() == job.frames->size_px() &&
                      kept.parts.size() == job.parts.size() &&
                      kept.landmarks.size() == job.landmarks.size();
    if (!same) throw InputError("it holds less than the original");
  } catch (const InputError& error) {
    throw OutputError(std::string("the converted case does not read back: ") + error.what());
  }
}

}  // namespace

KeptCounts WriteKeptCase(const Case& job, const KeepOptions& options, const fs::path& folder) {
  // What may be refused comes before the long work.
  cv::Mat photo = job.photo;
  if (options.blank_surroundings && !photo.empty()) photo = WithoutSurroundings(job);
  const KeptCounts counts = WriteKeptFrames(job, folder / "frames.tiff");
  std::vector<double> times_s = job.frame_times_s;
  for (auto i = counts.left_out.rbegin(); i != counts.left_out.rend(); ++i) {
    times_s.erase(times_s.begin() + *i);
  }
  Write(folder / "frames.csv", TimesTable(times_s));
  if (job.supply) Write(folder / "supply.csv", SupplyTable(*job.supply));
  if (!job.levels.empty()) Write(folder / "steps.csv", StepsTable(job.levels));
  if (!photo.empty()) Write(folder / "photo.png", EncodePng(photo, kPngEffort));
  if (!job.landmarks.empty()) Write(folder / "points.csv", PointsTable(job.landmarks));
  if (!job.parts.empty()) Write(folder / "parts.csv", PartsTable(job.parts));
  if (!job.contacts.empty()) Write(folder / "contacts.csv", ContactsTable(job.contacts));
  const std::vector<SurfaceRegion> regions = SurfaceRegionsOf(job.frames.get());
  if (!regions.empty()) Write(folder / "surface.csv", SurfaceTable(regions));
  Write(folder / "case.ini", KeptCaseText(job, counts));
  CheckReadsBack(job, static_cast<int>(counts.left_out.size()), folder / "case.ini");
  return counts;
}

}  // namespace ohmglow
