// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/locate_command.h"

#include <opencv2/imgcodecs.hpp>
#include <ostream>
#include <vector>

#include "cli/result_folder.h"
#include "ohmglow/base/error.h"
#include "ohmglow/locate.h"
#include "ohmglow/picture/pictures.h"
#include "ohmglow/picture/report.h"

namespace ohmglow::cli {
namespace {

std::string Png(const cv::Mat& picture, const std::string& name) {
  std::vector<unsigned char> bytes;
  if (!cv::imencode(".png", picture, bytes)) throw OutputError(name + ": cannot be encoded");
  return {bytes.begin(), bytes.end()};
}

}  // namespace

void RunLocate(const LocateRequest& request,
               const std::function<void(double)>& progress,
               std::ostream& output) {
  // Before the long work: a folder that cannot be written should not cost it.
  if (!request.out.empty()) CheckResultFolder(request.out);
  const Case job = LoadCase(request.case_file);
  LocateOptions options = request.settings.locate;
  options.progress = progress;
  const LocateResult result = Locate(job, options);
  const std::string json = ToJson(result);
  if (!request.out.empty()) {
    WriteResultFolder(request.out,
                      {{"motion.csv", ToMotionCsv(result)},
                       {"overlay.png", Png(DrawOverlay(result, job.photo), "overlay.png")},
                       {"map.png", Png(DrawMap(result), "map.png")},
                       {"result.json", json}});
  }
  output << (request.json_to_output ? json : ToSummary(result));
}

}  // namespace ohmglow::cli
