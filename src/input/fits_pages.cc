// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "fits_pages.h"

#include <fitsio.h>

#include <algorithm>
#include <array>
#include <limits>
#include <utility>

#include "ohmglow/base/error.h"
#include "spool.h"
#include "text.h"

namespace ohmglow {
namespace {

constexpr int kMostUnits = 100'000;
constexpr LONGLONG kMostPlanes = 10'000'000;
constexpr std::size_t kBlock = std::size_t{1} << 20U;

// CFITSIO opens files by name. Ours may be a part of one (in an archive), and a name
// could mean far more to it than a file; an open file has a plain name in /proc.
ByteSource WholeFile(const ByteSource& file) {
  if (file.descriptor()) return file;
  Spool spool(file.name());
  for (std::uint64_t at = 0; at < file.size(); at += kBlock) {
    const std::string block = file.Peek(at, kBlock);
    spool.Write(at, block.data(), block.size());
  }
  return spool.Finish(file.name());
}

}  // namespace

class FitsPages::Handle {
 public:
  explicit Handle(const ByteSource& file) : file_(WholeFile(file)) {
    const std::string path = "/proc/self/fd/" + std::to_string(*file_.descriptor());
    int status = 0;
    fits_open_diskfile(&fits_, path.c_str(), READONLY, &status);
    if (status != 0) fits_ = nullptr;
    fits_clear_errmsg();
  }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  ~Handle() {
    int status = 0;
    if (fits_ != nullptr) fits_close_file(fits_, &status);
    fits_clear_errmsg();
  }

  [[nodiscard]] fitsfile* get() const { return fits_; }
  [[nodiscard]] std::uint64_t size() const { return file_.size(); }

 private:
  ByteSource file_;
  fitsfile* fits_ = nullptr;
};

FitsPages::FitsPages(const ByteSource& file)
    : handle_(std::make_unique<Handle>(file)), name_(file.name()) {
  if (handle_->get() == nullptr) {
    throw InputError(name_ + ": is no FITS file that can be read; it is damaged, copy it again");
  }
  for (int number = 1; number <= kMostUnits; ++number) {
    int status = 0;
    int kind = 0;
    if (fits_movabs_hdu(handle_->get(), number, &kind, &status) != 0) break;
    AddUnit(number);
  }
  fits_clear_errmsg();
  if (count_ == 0) {
    throw InputError(name_ +
                     ": holds no image of numbers of two or three axes; save the frames "
                     "as an image or a cube");
  }
  if (!FewLost(lost_, count_ + lost_)) {
    throw InputError(PageName(name_, count_) + ": the file is cut short here; copy it again");
  }
}

FitsPages::~FitsPages() = default;

void FitsPages::AddUnit(int number) {
  fitsfile* const fits = handle_->get();
  int status = 0;
  int kind = 0;
  int axes = 0;
  int bits = 0;
  std::array<LONGLONG, 9> lengths{};
  fits_get_hdu_type(fits, &kind, &status);
  if (status != 0 || (kind != IMAGE_HDU && fits_is_compressed_image(fits, &status) == 0)) return;
  fits_get_img_equivtype(fits, &bits, &status);
  fits_get_img_dim(fits, &axes, &status);
  if (status != 0 || axes < 2 || axes > static_cast<int>(lengths.size())) return;
  fits_get_img_sizell(fits, static_cast<int>(lengths.size()), lengths.data(), &status);
  if (status != 0) return;
  LONGLONG planes = axes > 2 ? lengths[2] : 1;
  for (int i = 3; i < axes; ++i) {
    if (lengths[static_cast<std::size_t>(i)] != 1) return;  // More than a cube.
  }
  if (planes < 1) return;
  // Of all images together, so that no count overflows.
  if (planes > kMostPlanes - count_ - lost_ - left_out_) {
    throw InputError(PageName(name_, count_) + ": its images hold more than " +
                     std::to_string(kMostPlanes) + " frames; split it");
  }
  CheckSize(PageName(name_, count_), lengths[0], lengths[1]);
  Unit unit;
  unit.number = number;
  unit.first_page = count_;
  unit.size_px = {static_cast<int>(lengths[0]), static_cast<int>(lengths[1])};
  int blank_status = 0;
  LONGLONG blank = 0;
  const bool has_blank =
      fits_read_key(fits, TLONGLONG, "BLANK", &blank, nullptr, &blank_status) == 0;
  unit.type = has_blank            ? CV_32F
              : bits == BYTE_IMG   ? CV_8U
              : bits == SHORT_IMG  ? CV_16S
              : bits == SBYTE_IMG  ? CV_16S
              : bits == USHORT_IMG ? CV_16U
                                   : CV_32F;
  int order_status = 0;
  std::array<char, FLEN_VALUE> order{};
  fits_read_key(fits, TSTRING, "ROWORDER", order.data(), nullptr, &order_status);
  unit.bottom_up = order_status == 0 && ToLower(order.data()) == "bottom-up";
  const int compressed = fits_is_compressed_image(fits, &status);
  CheckPageBytes(PageName(name_, count_),
                 static_cast<std::uint64_t>(unit.size_px.area()) * sizeof(float),
                 handle_->size());
  // How many planes lie whole in the file.
  LONGLONG begin = 0;
  int stored = 0;
  fits_get_hduaddrll(fits, nullptr, &begin, nullptr, &status);
  fits_get_img_type(fits, &stored, &status);
  if (compressed == 0 && stored != 0) {
    const auto plane_bytes = static_cast<std::uint64_t>(unit.size_px.area()) *
                             static_cast<std::uint64_t>(std::abs(stored) / 8);
    const std::uint64_t left =
        handle_->size() - std::min(handle_->size(), static_cast<std::uint64_t>(begin));
    const auto whole = static_cast<LONGLONG>(
        std::min<std::uint64_t>(left / plane_bytes, static_cast<std::uint64_t>(planes)));
    lost_ += static_cast<int>(planes - whole);
    planes = whole;
  }
  if (planes == 0) return;
  unit.planes = static_cast<int>(planes);
  if (units_.empty()) {
    size_px_ = unit.size_px;
    type_ = unit.type;
  } else if (unit.size_px != size_px_ || unit.type != type_) {
    left_out_ += unit.planes;
    return;
  }
  count_ += unit.planes;
  units_.push_back(unit);
}

void FitsPages::Read(int page, cv::Mat& counts) {
  const auto next = std::find_if(
      units_.begin(), units_.end(), [&](const Unit& unit) { return unit.first_page > page; });
  const Unit& unit = *std::prev(next);
  fitsfile* const fits = handle_->get();
  int status = 0;
  int kind = 0;
  int has_nan = 0;
  counts.create(size_px_, type_);
  fits_movabs_hdu(fits, unit.number, &kind, &status);
  const int wanted = type_ == CV_8U    ? TBYTE
                     : type_ == CV_16U ? TUSHORT
                     : type_ == CV_16S ? TSHORT
                                       : TFLOAT;
  float nan = std::numeric_limits<float>::quiet_NaN();
  std::array<LONGLONG, 9> first{};
  first.fill(1);
  first[2] = page - unit.first_page + 1;
  fits_read_pixll(fits,
                  wanted,
                  first.data(),
                  static_cast<LONGLONG>(counts.total()),
                  wanted == TFLOAT ? &nan : nullptr,
                  counts.ptr(),
                  &has_nan,
                  &status);
  if (status != 0) {
    std::array<char, FLEN_STATUS> detail{};
    fits_get_errstatus(status, detail.data());
    fits_clear_errmsg();
    Fail(page,
         std::string("its pixels are damaged or cut short; copy it again (") +
             Quoted(detail.data()) + ")");
  }
  if (unit.bottom_up) cv::flip(counts, counts, 0);
}

std::vector<std::string> FitsPages::Notes() const {
  std::vector<std::string> notes;
  if (lost_ > 0) notes.push_back(CutOffNote(name_, lost_, lost_ + count_));
  if (left_out_ > 0) {
    notes.push_back(name_ + ": " + std::to_string(left_out_) +
                    " images of another size or kind than the first are left out");
  }
  return notes;
}

void FitsPages::Fail(int page, const std::string& what) const {
  throw InputError(PageName(name_, page) + ": " + what);
}

}  // namespace ohmglow
