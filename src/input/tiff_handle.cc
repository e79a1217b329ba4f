// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "tiff_handle.h"

#include <tiffio.h>

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <utility>

#include "ohmglow/base/error.h"

namespace ohmglow {

struct TiffHandle::State {
  explicit State(ByteSource bytes, TiffChain chain) : source(std::move(bytes)) {
    if (chain == TiffChain::kSeen) return;
    // The header's offset of the first directory: TIFF 6.0, section 2; BigTIFF: 8 bytes at 8.
    const std::string start = source.Peek(0, 4);
    const bool big = start.starts_with("II+") || start == std::string("MM\0+", 4);
    hidden_begin = big ? 8 : 4;
    hidden_end = big ? 16 : 8;
  }
  ByteSource source;
  std::uint64_t hidden_begin = 0;  // Bytes that read as zeros.
  std::uint64_t hidden_end = 0;
  std::uint64_t position = 0;
  std::string complaint;
};

namespace {

// libtiff never asks for more than it needs at once, but a damaged file may
// make it need a lot: it is refused what no frame of ours needs.
constexpr tmsize_t kLargestAllocation = tmsize_t{2} << 30U;

template <typename State>
tmsize_t ReadBytes(thandle_t handle, void* to, tmsize_t length) {
  auto& state = *static_cast<State*>(handle);
  const std::uint64_t left = state.source.size() - std::min(state.position, state.source.size());
  const auto wanted = std::min(static_cast<std::uint64_t>(length), left);
  // Never -1, as read(2) has it: libtiff 4.5 counts the bytes it got without looking at the
  // sign, and then writes in front of its own memory.
  if (wanted == 0) return 0;
  try {
    state.source.Read(state.position, static_cast<std::size_t>(wanted), to, state.source.name());
  } catch (const InputError&) {
    return 0;
  }
  const std::uint64_t begin = std::max(state.position, state.hidden_begin);
  const std::uint64_t end = std::min(state.position + wanted, state.hidden_end);
  if (begin < end) std::memset(static_cast<char*>(to) + (begin - state.position), 0, end - begin);
  state.position += wanted;
  return static_cast<tmsize_t>(wanted);
}

tmsize_t WriteNothing(thandle_t /*handle*/, void* /*from*/, tmsize_t /*length*/) { return -1; }

template <typename State>
toff_t Seek(thandle_t handle, toff_t offset, int from) {
  auto& state = *static_cast<State*>(handle);
  if (from == SEEK_CUR) offset += state.position;
  if (from == SEEK_END) offset += state.source.size();
  state.position = offset;
  return offset;
}

int CloseNothing(thandle_t /*handle*/) { return 0; }

template <typename State>
toff_t Size(thandle_t handle) {
  return static_cast<State*>(handle)->source.size();
}

int KeepComplaint(
    TIFF* /*handle*/, void* text, const char* /*module*/, const char* format, va_list arguments) {
  auto& kept = *static_cast<std::string*>(text);
  if (!kept.empty()) return 1;
  std::array<char, 256> buffer{};
  std::vsnprintf(buffer.data(), buffer.size(), format, arguments);
  kept = buffer.data();
  return 1;
}

int DropWarning(TIFF* /*handle*/,
                void* /*text*/,
                const char* /*module*/,
                const char* /*format*/,
                va_list /*arguments*/) {
  return 1;
}

}  // namespace

TiffHandle::TiffHandle(ByteSource source, TiffChain chain)
    : state_(std::make_unique<State>(std::move(source), chain)) {
  TIFFOpenOptions* const options = TIFFOpenOptionsAlloc();
  TIFFOpenOptionsSetErrorHandlerExtR(options, KeepComplaint, &state_->complaint);
  TIFFOpenOptionsSetWarningHandlerExtR(options, DropWarning, nullptr);
  TIFFOpenOptionsSetMaxSingleMemAlloc(options, kLargestAllocation);
  // "m": no memory map; "h": read no page yet.
  handle_ = TIFFClientOpenExt(state_->source.name().c_str(),
                              "rmh",
                              state_.get(),
                              ReadBytes<State>,
                              WriteNothing,
                              Seek<State>,
                              CloseNothing,
                              Size<State>,
                              nullptr,
                              nullptr,
                              options);
  TIFFOpenOptionsFree(options);
}

TiffHandle::TiffHandle(TiffHandle&& other) noexcept
    : state_(std::move(other.state_)), handle_(std::exchange(other.handle_, nullptr)) {}

TiffHandle& TiffHandle::operator=(TiffHandle&& other) noexcept {
  std::swap(state_, other.state_);
  std::swap(handle_, other.handle_);
  return *this;
}

TiffHandle::~TiffHandle() {
  if (handle_ != nullptr) TIFFClose(handle_);
}

const std::string& TiffHandle::complaint() const { return state_->complaint; }

void TiffHandle::Forget() { state_->complaint.clear(); }

bool IsTiff(std::string_view start) {
  using std::string_view_literals::operator""sv;
  const std::string_view four = start.substr(0, 4);
  return four == "II*\0"sv || four == "MM\0*"sv || four == "II+\0"sv || four == "MM\0+"sv;
}

}  // namespace ohmglow
