"""What is answered outside any view: unknown address, refused request, failure."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

API_PREFIX = "/api/"
PROBLEM_JSON = "application/problem+json"

WORDS = {
    HTTPStatus.BAD_REQUEST: "The request could not be understood.",
    HTTPStatus.FORBIDDEN: "You may not do that. If the page had been open for long, load it again and retry.",
    HTTPStatus.NOT_FOUND: "There is nothing at this address.",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "That is more than this site takes in one request (5 MB).",
    HTTPStatus.SERVICE_UNAVAILABLE: "The records cannot be reached or written just now; try again shortly.",
    HTTPStatus.INTERNAL_SERVER_ERROR: "Something failed on our side and has been logged.",
}


def plain_answer(request: HttpRequest, status: HTTPStatus, detail: str = "") -> HttpResponse:
    """Return a problem document (RFC 9457) under ``/api/``, a short page elsewhere."""
    detail = detail or WORDS[status]
    if request.path_info.startswith(API_PREFIX):
        return problem_answer(status, status.phrase.lower().replace(" ", "_"), detail)
    context = {"status": status.value, "title": status.phrase, "detail": detail}
    return render(request, "site/error.html", context, status=status.value)


def problem_answer(status: HTTPStatus, code: str, detail: str) -> JsonResponse:
    """Return a problem document (RFC 9457) from outside the API's views."""
    body = {"type": "about:blank", "title": status.phrase, "status": status.value, "code": code}
    return JsonResponse({**body, "detail": detail, "errors": []}, status=status, content_type=PROBLEM_JSON)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Handle 400."""
    return plain_answer(request, HTTPStatus.BAD_REQUEST)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Handle 403."""
    return plain_answer(request, HTTPStatus.FORBIDDEN)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Handle a form whose token is missing or stale."""
    return plain_answer(request, HTTPStatus.FORBIDDEN)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Handle 404."""
    return plain_answer(request, HTTPStatus.NOT_FOUND)
